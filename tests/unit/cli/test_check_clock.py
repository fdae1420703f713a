"""A clock that disagrees with the database server's, or with what was stored."""

from contextlib import ExitStack
from datetime import datetime, timedelta
from importlib.util import find_spec
from pathlib import Path

import pytest

from service.cli.check_clock import clock_findings, server_findings, span, stored_findings
from service.clock import system_clock
from service.records.engine import Sessions, open_engine
from service.records.migrate import upgrade
from service.records.store_facts import server_time
from service.records.traffic import InboundRow
from tests.pg import cluster, has_postgres
from tests.unit.cli.asking import asked_at, faults
from tests.unit.outbox.queue import NOW, PHONE, later, queued, two_tenants


def stored_at(sessions: Sessions, folder: Path, now: datetime) -> list[str]:
    return faults(stored_findings(asked_at(sessions, folder, now=now)))


def test_a_step_stored_in_the_future_says_that_the_clock_is_behind(
    sessions: Sessions, tmp_path: Path
) -> None:
    """A text is queued at NOW; 60 seconds are let pass, a project choice."""
    two_tenants(sessions)
    queued(sessions)

    assert stored_at(sessions, tmp_path, later(-60)) == []
    assert stored_at(sessions, tmp_path, later(-90)) == [
        (
            "A text was stored 90 seconds in the future: this machine's clock is behind, or was"
            " ahead then. Have it set by a time server (NTP), for the texts go by it."
        )
    ]


def test_so_does_a_text_that_came_in(sessions: Sessions, tmp_path: Path) -> None:
    two_tenants(sessions)
    with sessions.begin() as session:
        session.add(
            InboundRow(
                association_id=2,
                route_id=2,
                event_id="e1",
                sender=PHONE,
                text="A1",
                received_at=NOW,
                meaning="done",
                hint="",
                to_read=False,
                pauses=False,
                plots="A",
            )
        )

    (said,) = stored_at(sessions, tmp_path, later(-7200))

    assert said.startswith("A text was stored 2 hours in the future")
    assert PHONE not in said


def test_a_file_has_no_clock_to_be_compared_with(tmp_path: Path, sessions: Sessions) -> None:
    if server_time(sessions.engine) is not None:
        pytest.skip("this run is for a database server, which has a clock")
    found = clock_findings(asked_at(sessions, tmp_path))

    assert [finding.sentence for finding in found] == [
        "Nothing stored lies in the future of the clock."
    ]


def test_a_clock_that_differs_from_the_database_servers_is_named(tmp_path: Path) -> None:
    if not has_postgres() or find_spec("psycopg") is None:
        pytest.skip("PostgreSQL, or the package that speaks to it, is not on this machine")
    with ExitStack() as held:
        sessions = Sessions(open_engine(held.enter_context(cluster(fsync="off")).url()))
        held.callback(sessions.engine.dispose)
        upgrade(sessions.engine)

        def at(shift_s: float) -> list[str]:
            machine = system_clock() + timedelta(seconds=shift_s)
            return faults(server_findings(asked_at(sessions, tmp_path, machine=machine)))

        assert at(0) == []
        assert [at(3 * 3600)[0].split(";")[0], at(-300)[0].split(";")[0]] == [
            "This machine's clock is 3 hours ahead of the database server's",
            "This machine's clock is 5 minutes behind the database server's",
        ]


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        pytest.param(61, "61 seconds", id="seconds"),
        pytest.param(119, "119 seconds", id="the last of them"),
        pytest.param(120, "2 minutes", id="minutes"),
        pytest.param(7_199, "120 minutes", id="the last of those"),
        pytest.param(7_200, "2 hours", id="hours"),
        pytest.param(172_800, "2 days", id="days"),
    ],
)
def test_a_span_is_said_in_its_largest_unit(seconds: float, words: str) -> None:
    assert span(seconds) == words
