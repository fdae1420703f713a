"""Two workers on one database never take the same text."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

from service.outbox.claim import claim_due
from service.records.engine import Sessions, open_engine
from tests.fresh import database_url
from tests.unit.outbox.queue import NOW, PHONE, a_draft, claimed, plain, put

TEXTS = 60
PATIENCE_S = 30  # an upper bound only; a healthy machine needs a fraction of it


def worker(url: str, start: Barrier) -> list[int]:
    sessions = Sessions(open_engine(url))
    taken: list[int] = []
    start.wait(timeout=PATIENCE_S)
    while True:
        with sessions.begin() as session:
            made = claim_due(session, 1, 1, now=NOW, limit=3, render=plain)
        if made is None:
            sessions.engine.dispose()
            return taken
        taken += [item.message_id for item in made.messages]


def test_two_workers_at_once_share_the_queue_and_double_nothing(
    outbox: Sessions, tmp_path: Path
) -> None:
    queue = put(outbox, *[a_draft(f"jobs:{number}") for number in range(TEXTS)])
    start = Barrier(2)

    with ThreadPoolExecutor(max_workers=2) as pool:
        runs = [pool.submit(worker, database_url(tmp_path), start) for _ in range(2)]
        taken = [run.result(timeout=PATIENCE_S) for run in runs]

    assert sorted(taken[0] + taken[1]) == queue
    assert len(queue) == TEXTS


def planner(url: str, start: Barrier) -> list[int | None]:
    sessions = Sessions(open_engine(url))
    start.wait(timeout=PATIENCE_S)
    found = [put(sessions, a_draft(f"jobs:{number}"))[0] for number in range(20)]
    sessions.engine.dispose()
    return found


def test_two_planners_at_once_queue_each_text_once(outbox: Sessions, tmp_path: Path) -> None:
    start = Barrier(2)

    with ThreadPoolExecutor(max_workers=2) as pool:
        runs = [pool.submit(planner, database_url(tmp_path), start) for _ in range(2)]
        first, second = (run.result(timeout=PATIENCE_S) for run in runs)

    assert [(a is None) != (b is None) for a, b in zip(first, second, strict=True)] == [True] * 20
    assert claimed(outbox).messages[-1].number == PHONE
