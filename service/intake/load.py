"""Take a folder in: all of it or nothing, and plan anew what it touches."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from service.intake.folder import read_folder
from service.intake.rules import Rules
from service.intake.store import IntakeResult, store_folder
from service.planning.bulk import plan_all
from service.planning.refresh import refresh_households
from service.planning.send_window import local_day, zone_of
from service.records.engine import Sessions, wait_for_turn
from service.records.plantings import association, households_of_plantings

MANY_HOUSEHOLDS = 200  # from here on planning everybody in one go is quicker


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """Who brings the folder, and when."""

    who: str
    now: datetime


def load_folder(sessions: Sessions, folder: Path, *, rules: Rules, visit: Visit) -> IntakeResult:
    """Read, check and store a folder, and return what changed.

    Raises:
        IntakeError: holds every fault of every file; nothing was stored.
    """
    found = read_folder(folder, rules)
    with sessions.begin() as session:
        result = store_folder(session, found, now=visit.now, who=visit.who)
        wait_for_turn(session, result.association_id)
        row = association(session, result.association_id)
        today = local_day(visit.now, zone_of(row.zone))
        changed = households_of_plantings(session, row.id, result.changed_plantings)
        if len(changed) > MANY_HOUSEHOLDS:
            plan_all(session, row.id, today=today, now=visit.now)
        else:
            refresh_households(session, row.id, changed, today=today, now=visit.now)
    return result
