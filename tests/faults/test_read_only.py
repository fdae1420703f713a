"""A database that can be read and not written: nothing leaves, nothing is lost, all say so.

SQLite's file lies on a disk that the system has made read-only; PostgreSQL is told to let nothing
be written.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from threading import Event

import pytest
from sqlalchemy import text

from gateway_adapters.fake import FakeGateway
from service.cli.check import findings
from service.jobs import STEP, start_ticker
from service.records.engine import open_engine
from service.records.faults import STORE_FAULTS
from service.records.people import HouseholdRow
from service.records.traffic import InboundRow
from tests.faults.disks import read_only
from tests.faults.ledger import compare
from tests.fresh import on_postgresql
from tests.web.reading import form_of, post, text_of
from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.world import PHONE, ZONE, World, enrol
from tests.world_looks import rows, states

PATIENCE_S = 20
_SHUT_OUT = (  # whoever comes anew finds the new setting
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
    " WHERE datname = current_database() AND pid <> pg_backend_pid()"
)

pytestmark = pytest.mark.slow


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """The afternoon before a home's first dose: its reminder waits. The phones need no disk."""
    made = World(folder=tmp_path)
    made.now = made.now.fromisoformat("2027-03-14T12:00").replace(tzinfo=ZONE)
    made.gateway = FakeGateway(clock=made.clock)
    made.services = replace(made.services, gateways={"main": made.gateway})
    enrol(made)
    made.tick()
    yield made
    made.close()


@contextmanager
def nothing_written(world: World) -> Iterator[None]:
    """Let the world's database be readable alone within a block."""
    if not on_postgresql():
        world.services.sessions.engine.dispose()
        with read_only(world.folder):
            yield
        return
    ours = open_engine(world.services.settings.database_url)
    setting = f"ALTER DATABASE {ours.url.database}"
    with ours.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        try:
            for words in (f"{setting} SET default_transaction_read_only = on", _SHUT_OUT):
                connection.execute(text(words))
            yield
        finally:
            connection.execute(text("SET default_transaction_read_only = off"))
            for words in (f"{setting} RESET default_transaction_read_only", _SHUT_OUT):
                connection.execute(text(words))
    ours.dispose()


def test_nothing_leaves_until_the_records_can_be_written_and_then_it_leaves_once(
    world: World,
) -> None:
    """A text from a phone waits on the network meanwhile, and counts once."""
    world.gateway.answer(PHONE, "HELP")
    with nothing_written(world):
        for minute in range(3):
            with pytest.raises(STORE_FAULTS):
                world.tick(f"2027-03-14T18:0{minute}")
        meanwhile = world.bodies()
    world.tick("2027-03-14T18:05")
    world.tick("2027-03-14T18:06")

    assert meanwhile == []
    assert [row.text for row in rows(world, InboundRow)] == ["HELP"]
    assert states(world, "dose") == ["delivered"]
    assert compare(world.services.sessions, world.gateway).ends() == (2, 0, 0, ())


def test_the_ticker_goes_on_by_itself_and_the_log_says_what_is_wrong(
    world: World, caplog: pytest.LogCaptureFixture
) -> None:
    world.now = world.now.replace(hour=18)
    with nothing_written(world):
        ticker = start_ticker(world.services, [replace(STEP, every_s=0.05)])
        wait_until(lambda: len(caplog.records) > 1)
        meanwhile = world.bodies()
    wait_until(lambda: states(world, "dose") == ["delivered"])
    ticker.shutdown(wait=True)

    said = {record.getMessage() for record in caplog.records if record.name == "furrowbell.jobs"}
    assert said == {"job failed"}
    assert not any(PHONE in record.getMessage() + str(record.exc_info) for record in caplog.records)
    assert (meanwhile, len(world.bodies())) == ([], 1)


def test_the_pages_say_that_nothing_was_changed_and_keep_what_was_typed(world: World) -> None:
    browser = browser_of(office_of(world, Wall()), visit_token(world))
    typed = form_of(browser.get("/enrol").text, "/enrol") | {"alias": "Mti Test", "area_id": "1"}
    with nothing_written(world):
        sent = browser.post("/enrol", data=typed)
    kept = form_of(sent.text, "/enrol")
    shown = post(browser, "/enrol", sent.text)
    saved = post(browser, "/enrol", shown.text)

    assert (sent.status_code, kept["alias"]) == (503, "Mti Test")
    assert "The records cannot be reached just now. Your form was not saved yet" in text_of(
        sent.text
    )
    assert saved.status_code == 303
    assert "Mti Test" in [row.alias for row in rows(world, HouseholdRow)]


def test_the_check_says_that_nothing_can_be_written(world: World) -> None:
    services = world.services
    with nothing_written(world):
        found = list(findings(services.settings, services.sessions, machine=world.clock))

    wrong = [finding.sentence for finding in found if not finding.is_well]
    assert [sentence for sentence in wrong if "write" in sentence] != []


def wait_until(is_so: Callable[[], bool]) -> None:
    """Wait until something is so."""
    pause = Event()
    for _ in range(PATIENCE_S * 20):
        if is_so():
            return
        pause.wait(0.05)
    raise AssertionError(f"it is not so after {PATIENCE_S} s")
