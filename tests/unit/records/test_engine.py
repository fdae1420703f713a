"""What the engine sees to: durable files, references that hold, writers that wait in line."""

from collections.abc import Iterator
from pathlib import Path
from traceback import format_exception

import pytest
from sqlalchemy import event, select, text
from sqlalchemy.exc import IntegrityError, OperationalError

from service.errors import SettingsError
from service.records.engine import Session, Sessions, each_query_planned, open_engine
from service.records.people import AreaRow, AssociationRow
from service.records.tasks import Task, open_task, open_tasks
from service.records.traffic import TaskKind
from tests.fresh import fresh_file
from tests.unit.outbox.queue import NOW, two_tenants


class Undo(Exception):  # noqa: N818 -- not an error, only a way out of the block
    """Leaves a block early."""


def begins(sessions: Sessions) -> list[str]:
    """Return a list to which every BEGIN is added from now on."""
    found: list[str] = []

    @event.listens_for(sessions.engine, "before_cursor_execute")
    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        if statement.startswith("BEGIN"):
            found.append(statement)

    return found


@pytest.fixture
def file(tmp_path: Path) -> Iterator[Sessions]:
    """An empty SQLite database, whatever the run is for."""
    made = Sessions(open_engine(fresh_file(tmp_path / "file.db")))
    yield made
    made.engine.dispose()


def test_a_file_gets_a_log_full_sync_references_and_patience(file: Sessions) -> None:
    """Values: sqlite.org/pragma.html (synchronous FULL is 2)."""
    with file.read() as session:
        values = {
            name: session.execute(text(f"PRAGMA {name}")).scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }

    assert values == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 10_000,
    }


def test_a_row_cannot_point_to_nothing(sessions: Sessions) -> None:
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"), sessions.begin() as session:
        session.add(AreaRow(association_id=77, code="N", name="North"))


def test_a_writer_takes_the_lock_at_once_and_a_reader_does_not(file: Sessions) -> None:
    seen = begins(file)

    with file.begin() as session:
        session.execute(text("SELECT 1"))
    with file.read() as session:
        session.execute(text("SELECT 1"))

    assert seen == ["BEGIN IMMEDIATE", "BEGIN"]


def test_readers_look_while_a_writer_is_at_work(sessions: Sessions) -> None:
    two_tenants(sessions)

    with sessions.begin() as writing:
        writing.get_one(AssociationRow, 1).name = "Other Growers"
        writing.flush()
        with sessions.read() as reading:
            meanwhile = reading.get_one(AssociationRow, 1).name
    with sessions.read() as reading:
        after = reading.get_one(AssociationRow, 1).name

    assert (meanwhile, after) == ("Invented Growers", "Other Growers")


def test_a_second_writer_waits_for_the_lock(file: Sessions) -> None:
    """Shown by a writer with no patience: it is refused at BEGIN, not at its first change."""
    with file.begin() as first:
        first.execute(text("SELECT 1"))
        other = Sessions(open_engine(str(file.engine.url)))
        with other.engine.connect() as connection:
            connection.execution_options(read_only=True)
            connection.execute(text("PRAGMA busy_timeout=0"))
        with (
            pytest.raises(OperationalError, match="locked"),
            other.begin() as second,
        ):
            second.execute(text("SELECT 1"))
        other.engine.dispose()


def test_an_error_in_the_block_undoes_all_of_it(sessions: Sessions) -> None:
    two_tenants(sessions)

    def half_done(session: Session) -> None:
        open_task(session, 1, Task(kind=TaskKind.ENROL, key="x"), now=NOW)
        raise Undo

    with pytest.raises(Undo), sessions.begin() as session:
        half_done(session)

    with sessions.read() as session:
        assert open_tasks(session, 1) == []


def test_nothing_done_while_looking_is_kept(sessions: Sessions) -> None:
    two_tenants(sessions)

    with sessions.read() as session:
        session.get_one(AssociationRow, 1).name = "Other Growers"
        session.flush()

    with sessions.read() as session:
        assert session.get_one(AssociationRow, 1).name == "Invented Growers"


def test_what_was_read_stays_readable_after_the_look(sessions: Sessions) -> None:
    two_tenants(sessions)

    with sessions.read() as session:
        row = session.get_one(AssociationRow, 1)

    assert row.zone == "Africa/Dar_es_Salaam"


@pytest.mark.parametrize("address", ["furrowbell.db", "nonsense://host/name", ""])
def test_what_is_no_database_address_is_refused_in_a_sentence(address: str) -> None:
    with pytest.raises(SettingsError, match="write sqlite:///FILE or postgresql"):
        open_engine(address)


def test_errors_of_the_database_show_no_values(sessions: Sessions) -> None:
    two_tenants(sessions)

    with pytest.raises(IntegrityError) as caught, sessions.begin() as session:
        session.add(AreaRow(association_id=1, code="N", name="a private name"))

    assert "a private name" not in str(caught.value)


def test_another_file_is_another_database(sessions: Sessions, tmp_path: Path) -> None:
    two_tenants(sessions)
    other = Sessions(open_engine(f"sqlite:///{tmp_path / 'other.db'}"))

    with pytest.raises(OperationalError, match="no such table"), other.read() as session:
        open_tasks(session, 1)
    other.engine.dispose()


def test_an_error_tells_nothing_of_the_row(sessions: Sessions) -> None:
    """Numbers and texts stand in rows, and errors reach the log."""
    number = "+2551" + 8 * "9"  # put together, for a traceback shows the lines of this file
    two_tenants(sessions)

    def double_the_code(session: Session) -> None:
        first, second = session.scalars(select(AssociationRow).order_by(AssociationRow.id))
        second.phone, second.code = number, first.code

    with pytest.raises(IntegrityError) as caught, sessions.begin() as session:
        double_the_code(session)

    assert number not in "".join(format_exception(caught.value))
    assert "code" in str(caught.value)


def test_queries_are_planned_anew_in_a_block_and_as_usual_after_it(sessions: Sessions) -> None:
    """By the server's own list of the queries that it keeps."""
    if sessions.engine.dialect.name != "postgresql":
        pytest.skip("SQLite plans each query as it comes")
    kept = text("SELECT count(*) FROM pg_prepared_statements WHERE statement LIKE '%' || :mark")

    def asked(session: Session, mark: str) -> int:
        for _ in range(20):
            session.execute(text(f"SELECT 1 -- {mark}"))
        return int(session.execute(kept, {"mark": mark}).scalar_one())

    with sessions.begin() as session:
        with each_query_planned(session):
            inside = asked(session, "inside")
        assert (inside, asked(session, "after")) == (0, 1)
