"""Time zones: does this machine know those of the associations."""

import zoneinfo
from collections.abc import Sequence
from pathlib import Path

from service.cli.check_finding import Finding, well, wrong
from service.records.store_facts import AssociationZone

_ANY = "UTC"


def zone_findings(associations: Sequence[AssociationZone]) -> list[Finding]:
    """Return which associations have a zone that nothing here knows."""
    if not knows_zone(_ANY):
        return [
            wrong(
                "There is no time-zone data: install the Python package tzdata beside this program,"
                " or the package tzdata of the system."
            )
        ]
    unknown = [each for each in associations if not knows_zone(each.zone)]
    if unknown:
        return [
            wrong(
                f"{each.name}: nothing here knows its time zone {each.zone}. Mend the name, or"
                " install a newer tzdata; until then the service stands still."
            )
            for each in unknown
        ]
    whose = "the system" if _system_has_data() else "the Python package tzdata"
    return [well(f"Every time zone is known, from {whose}.")]


def knows_zone(name: str) -> bool:
    """Say whether there is data for a zone of this name, as a process started now would find it."""
    try:
        zoneinfo.ZoneInfo.no_cache(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        return False  # not there, no name of a zone, a folder of zones
    return True


def _system_has_data() -> bool:
    return any((Path(folder) / _ANY).is_file() for folder in zoneinfo.TZPATH)
