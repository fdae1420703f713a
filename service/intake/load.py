"""Take a folder in: all of it or nothing, and plan anew what it touches."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from service.intake.folder import read_folder
from service.intake.rules import Rules
from service.intake.store import IntakeResult, store_folder
from service.planning.cans import cans_by_household
from service.planning.refresh import refresh_planting
from service.planning.send_window import local_day, zone_of
from service.records.engine import Sessions
from service.records.plantings import association, planting_bundle


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
        row = association(session, result.association_id)
        today = local_day(visit.now, zone_of(row.zone))
        cans = cans_by_household(session, row, today=today)
        for planting_id in result.changed_plantings:
            bundle = planting_bundle(session, row.id, planting_id)
            refresh_planting(
                session,
                row.id,
                planting_id,
                cans=cans.get(bundle.household.id, ()),
                today=today,
                now=visit.now,
            )
    return result
