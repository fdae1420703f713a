"""Processes that live, and processes that fell silent."""

from datetime import datetime
from pathlib import Path

from service.cli.check_workers import worker_findings
from service.records.engine import Sessions
from service.records.workers import WorkerKind, begin_worker, end_worker, worker_lives
from tests.unit.cli.asking import asked_at, faults
from tests.unit.outbox.queue import NOW, later


def begun(
    sessions: Sessions, *routes: str, kind: WorkerKind = WorkerKind.WORK, place: str = "far 12"
) -> int:
    with sessions.begin() as session:
        return begin_worker(session, kind, place=place, routes=routes, now=NOW)


def at(sessions: Sessions, folder: Path, machine: datetime) -> list[str]:
    return [
        finding.sentence for finding in worker_findings(asked_at(sessions, folder, machine=machine))
    ]


def wrong_at(sessions: Sessions, folder: Path, machine: datetime) -> list[str]:
    return faults(worker_findings(asked_at(sessions, folder, machine=machine)))


def test_one_that_said_so_within_a_minute_lives(sessions: Sessions, tmp_path: Path) -> None:
    begun(sessions, "main")

    assert at(sessions, tmp_path, later(59)) == ["Process far 12 (work) lives."]


def test_one_that_fell_silent_is_wrong_while_nobody_serves_its_routes(
    sessions: Sessions, tmp_path: Path
) -> None:
    begun(sessions, "main", "other")

    (fault,) = wrong_at(sessions, tmp_path, later(60))

    assert "far 12 (work) fell silent at 2027-03-14 15:00 UTC" in fault
    assert "nobody serves main, other: start `furrowbell serve`" in fault


def test_another_that_serves_the_route_makes_it_right(sessions: Sessions, tmp_path: Path) -> None:
    begun(sessions, "main")
    other = begun(sessions, "main", kind=WorkerKind.SERVE, place="near 7")
    with sessions.begin() as session:
        worker_lives(session, other, now=later(100))

    assert wrong_at(sessions, tmp_path, later(120)) == []
    assert at(sessions, tmp_path, later(120)) == [
        "Process near 7 (serve) lives.",
        (
            "Process far 12 (work) fell silent at 2027-03-14 15:00 UTC without ending; others do"
            " its work."
        ),
    ]


def test_pages_alone_serve_no_route(sessions: Sessions, tmp_path: Path) -> None:
    begun(sessions, "main")
    pages = begun(sessions, "main", kind=WorkerKind.WEB)
    with sessions.begin() as session:
        worker_lives(session, pages, now=later(100))

    assert len(wrong_at(sessions, tmp_path, later(120))) == 1


def test_one_that_ended_as_it_should_is_no_matter(sessions: Sessions, tmp_path: Path) -> None:
    ended = begun(sessions, "main")
    with sessions.begin() as session:
        end_worker(session, ended, now=later(5))

    assert at(sessions, tmp_path, later(120)) == []
