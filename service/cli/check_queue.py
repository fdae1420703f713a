"""The queue: texts that wait though they could go, texts in doubt, the month's ceiling."""

from datetime import datetime

from service.cli.check_clock import seconds_between, span
from service.cli.check_finding import Asked, Finding, well, wrong
from service.cli.check_zones import knows_zone
from service.outbox.budget import budget_day, month_left
from service.outbox.held_up import held_up_since, texts_in_doubt
from service.records.engine import Session
from service.records.people import AssociationRow
from service.records.plantings import associations

HELD_UP_S = 600.0  # project choice: a step takes seconds, and a text is tried again within minutes


def queue_findings(asked: Asked) -> list[Finding]:
    """Return how the queue of each association stands.

    One whose zone is not known has no day to count on, and is left to the check of the zones.
    """
    now = asked.clock()
    with asked.sessions.read() as session:
        rows = associations(session)
        known = [row for row in rows if knows_zone(row.zone)]
        found = [each for row in known for each in _of_one(session, row, now=now)]
    if not rows:
        return [well("There is no association yet; `furrowbell import FOLDER` reads one.")]
    return found


def _of_one(session: Session, row: AssociationRow, *, now: datetime) -> list[Finding]:
    found = [_held_up(session, row, now=now), _in_doubt(session, row), _month(session, row, now)]
    return [each for each in found if each is not None]


def _held_up(session: Session, row: AssociationRow, *, now: datetime) -> Finding:
    since = held_up_since(session, row.id, now=now)
    waited_s = 0.0 if since is None else seconds_between(since, now)
    if waited_s <= HELD_UP_S:
        return well(f"{row.name}: no text waits that could go.")
    return wrong(
        f"{row.name}: a text has been waiting for {span(waited_s)} though its route is open."
        " Nothing sends: see that `furrowbell serve` is running, and what its log says."
    )


def _in_doubt(session: Session, row: AssociationRow) -> Finding:
    count = texts_in_doubt(session, row.id)
    if count == 0:
        return well(f"{row.name}: no text is in doubt.")
    return wrong(
        f"{row.name}: of {count} text(s) nobody knows whether they left, and they are never sent"
        " again by themselves. Call these homes; Today lists them, and takes what the call brought."
    )


def _month(session: Session, row: AssociationRow, now: datetime) -> Finding | None:
    if month_left(session, row.id, budget_day(session, row.id, now=now)) != 0:
        return None
    return wrong(
        f"{row.name}: the month's ceiling of {row.monthly_segments} segments is reached, so only"
        " answers and safety texts go. Raise it on the page Routes, or call until the month ends."
    )
