"""The database file and the version of its tables, before anything else is asked of them."""

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import create_engine, event

from service.cli.check_database import (
    NO_ANSWER,
    Reach,
    disk_wait_findings,
    journal_findings,
    reach_of,
)
from service.records.engine import Sessions, open_engine
from service.records.migrate import downgrade
from tests.fresh import fresh_file
from tests.unit.cli.asking import faults


def opened(file: Path) -> Sessions:
    return Sessions(open_engine(f"sqlite:///{file}"))


def test_a_file_that_is_not_there_is_named_and_not_made(tmp_path: Path) -> None:
    file = tmp_path / "none.db"

    reach, said = reach_of(opened(file))

    assert (reach, said.is_well) == (Reach.NOTHING, False)
    assert str(file) in said.sentence
    assert "run `furrowbell migrate`" in said.sentence
    assert not file.exists()


def test_a_file_that_is_no_database_does_not_answer(tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("not a database, " * 100, encoding="utf-8")
    sessions = opened(file)

    reach, said = reach_of(sessions)
    sessions.engine.dispose()

    assert (reach, said.sentence) == (Reach.NOTHING, NO_ANSWER)
    assert journal_findings(sessions) != []


@pytest.mark.parametrize(
    ("revision", "reach"),
    [
        pytest.param("base", Reach.NOTHING, id="no tables"),
        pytest.param("v0001", Reach.ZONES, id="the first tables"),
        pytest.param("head", Reach.ALL, id="those of this version"),
    ],
)
def test_tables_of_another_version_can_be_asked_for_the_zones_alone(
    tmp_path: Path, revision: str, reach: Reach
) -> None:
    file = tmp_path / "own.db"
    fresh_file(file)
    sessions = opened(file)
    if reach is not Reach.ALL:
        downgrade(sessions.engine, revision)

    found, said = reach_of(sessions)
    sessions.engine.dispose()

    assert (found, said.is_well) == (reach, reach is Reach.ALL)


@pytest.mark.parametrize(
    ("mode", "is_well"),
    [
        pytest.param("wal", True, id="write-ahead log"),
        pytest.param("delete", False, id="rollback journal"),
    ],
)
def test_the_journal_is_read_off_the_file_and_left_as_it_is(
    tmp_path: Path, mode: str, *, is_well: bool
) -> None:
    file = tmp_path / "own.db"
    fresh_file(file)
    changed = sqlite3.connect(file)
    changed.execute(f"PRAGMA journal_mode={mode}")
    changed.close()

    found = [journal_findings(opened(file)) for _ in range(2)]

    assert [[finding.is_well for finding in each] for each in found] == [[is_well]] * 2


def test_a_database_that_does_not_wait_for_the_disk_is_named(tmp_path: Path) -> None:
    """The service's own engine asks for FULL; another that does not is caught."""
    url = fresh_file(tmp_path / "own.db")
    careless = create_engine(url)

    @event.listens_for(careless, "connect")
    def hurry(connection: sqlite3.Connection, _record: object) -> None:
        connection.execute("PRAGMA synchronous=NORMAL")

    own = Sessions(open_engine(url))
    (said,) = faults(disk_wait_findings(Sessions(careless)))
    found = disk_wait_findings(own)
    careless.dispose()
    own.engine.dispose()

    assert "(synchronous is not FULL)" in said
    assert faults(found) == []
    assert len(found) == 1
