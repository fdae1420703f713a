"""Where a menu stands: plain values, kept as JSON between two steps. Pure."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Self

from service.inbound.reply_codes import Meaning


class Place(StrEnum):
    """The screens that a choice leads to."""

    HOMES = "homes"  # of a shared phone: whose ground is it?
    ROOT = "root"
    OUTSIDE = "outside"  # an enrolled phone that gets no texts
    STRANGER = "stranger"  # a number that nobody has enrolled
    PLOTS = "plots"
    PLOT = "plot"
    DOSES = "doses"
    JOB = "job"
    CANS = "cans"
    DAYS = "days"
    CONFIRM = "confirm"
    SAID = "said"  # the answer, where it takes more than one screen
    RESUME = "resume"


TOPS = (Place.HOMES, Place.ROOT, Place.OUTSIDE, Place.STRANGER)


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A place in the menu and what was chosen on the way to it.

    Attributes:
        page: of the list at this place, from 0 on.
        trail: the places and pages passed on the way, for going back.
        on: the day that was chosen for the report.
        wrong: how many inputs in a row were none of those shown.
        said: the pages of the answer.
        before: where a dropped session stood that may be gone on with.
    """

    place: Place
    page: int = 0
    trail: tuple[tuple[Place, int], ...] = ()
    home: int | None = None
    plot: str | None = None
    meaning: Meaning | None = None
    dose: int | None = None
    can: int | None = None
    on: date | None = None
    wrong: int = 0
    said: tuple[str, ...] = ()
    before: Self | None = None

    def as_json(self) -> dict[str, Any]:
        """Return the state as JSON keeps it."""
        values = asdict(self)
        values["on"] = None if self.on is None else self.on.isoformat()
        values["before"] = None if self.before is None else self.before.as_json()
        return values


def state_of(values: Mapping[str, Any]) -> State | None:
    """Return a state that was kept, or None where it is not one of this version."""
    try:
        given = dict(values)
        given["place"] = Place(given["place"])
        given["trail"] = tuple((Place(place), int(page)) for place, page in given["trail"])
        given["meaning"] = None if given["meaning"] is None else Meaning(given["meaning"])
        given["on"] = None if given["on"] is None else date.fromisoformat(given["on"])
        given["said"] = tuple(given["said"])
        given["before"] = None if given["before"] is None else state_of(given["before"])
        return State(**given)
    except (KeyError, TypeError, ValueError):
        return None
