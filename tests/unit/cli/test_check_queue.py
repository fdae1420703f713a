"""The queue of each association: what could go and waits, what is in doubt, the ceiling."""

from pathlib import Path

from gateway_adapters.contract import Ambiguous
from service.cli.check_queue import queue_findings
from service.records.engine import Sessions
from service.records.people import AssociationRow
from service.records.route_list import set_ceiling
from service.records.tasks import Task, close_task, open_task
from service.records.traffic import TaskKind
from tests.unit.cli.asking import asked_at, faults
from tests.unit.outbox.queue import (
    EVENING,
    NOW,
    PHONE,
    answer,
    claimed,
    later,
    queued,
    spend,
    two_tenants,
)


def wrong_at(sessions: Sessions, folder: Path, seconds: float = 0) -> list[str]:
    return faults(queue_findings(asked_at(sessions, folder, now=later(seconds))))


def test_a_text_that_waits_longer_than_ten_minutes_is_named(
    sessions: Sessions, tmp_path: Path
) -> None:
    two_tenants(sessions)
    queued(sessions)

    assert wrong_at(sessions, tmp_path, 600) == []
    assert wrong_at(sessions, tmp_path, 601) == [
        (
            "Invented Growers: a text has been waiting for 10 minutes though its route is open."
            " Nothing sends: see that `furrowbell serve` is running, and what its log says."
        )
    ]


def test_a_text_in_doubt_is_counted_until_a_person_has_settled_it(
    sessions: Sessions, tmp_path: Path
) -> None:
    two_tenants(sessions)
    message_id = queued(sessions)
    answer(sessions, claimed(sessions), Ambiguous(reason="silence"))

    doubt = wrong_at(sessions, tmp_path)
    with sessions.begin() as session:
        task_id = open_task(session, 1, Task(kind=TaskKind.UNKNOWN, key=str(message_id)), now=NOW)
        assert task_id is not None
        listed = wrong_at(sessions, tmp_path)
        close_task(session, 1, task_id, outcome="told", now=NOW)
    settled = wrong_at(sessions, tmp_path)

    assert doubt == listed
    assert doubt[0].startswith("Invented Growers: of 1 text(s) nobody knows whether they left")
    assert PHONE not in doubt[0]
    assert settled == []


def test_a_ceiling_that_is_reached_is_named(sessions: Sessions, tmp_path: Path) -> None:
    two_tenants(sessions)
    with sessions.begin() as session:
        set_ceiling(session, 1, 3)
        spend(session, 1, 1, 2, EVENING)
    below = wrong_at(sessions, tmp_path)
    with sessions.begin() as session:
        spend(session, 1, 1, 1, EVENING)

    assert below == []
    assert wrong_at(sessions, tmp_path) == [
        (
            "Invented Growers: the month's ceiling of 3 segments is reached, so only answers and"
            " safety texts go. Raise it on the page Routes, or call until the month ends."
        )
    ]


def test_an_association_whose_zone_is_not_known_is_left_out(
    sessions: Sessions, tmp_path: Path
) -> None:
    two_tenants(sessions)
    queued(sessions)
    with sessions.begin() as session:
        session.get_one(AssociationRow, 1).zone = "Africa/Nowhere"

    found = queue_findings(asked_at(sessions, tmp_path, now=later(3600)))

    assert [finding.sentence for finding in found] == [
        "Invented Growers: no text waits that could go.",
        "Invented Growers: no text is in doubt.",
    ]
