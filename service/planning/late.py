"""Until when a dose whose can becomes ready late may still be told. Pure."""

from collections.abc import Iterable
from datetime import date

from service.agronomy.calendar import add_days
from service.agronomy.rules import rules
from service.agronomy.season_plan import PlannedDose


def last_evening(dose: PlannedDose, doses: Iterable[PlannedDose]) -> date:
    """Return the last evening on which a dose may be told in the first place.

    It is poured on the day after, within its window, and as long before the next dose of the plot
    as two doses always lie apart. The evening before its own day is not meant.
    """
    following = [other.due_on for other in doses if other.due_on > dose.due_on]
    ends = [dose.closes_on, *(add_days(on, -rules().min_gap_days) for on in following)]
    return max(add_days(dose.due_on, -1), add_days(min(ends), -1))
