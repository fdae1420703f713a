"""What a menu is walked with: the phone's homes, plots, jobs and cans, as plain values. Pure."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from service.inbound.reply_codes import Meaning, Reading


class Standing(StrEnum):
    """What may be offered to a number."""

    MEMBER = "member"  # enrolled, and its texts are wanted
    OUTSIDE = "outside"  # enrolled, but its yes is missing or taken back
    STRANGER = "stranger"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A dose that can be reported on."""

    number: int
    due_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A plot with a crop on it; `crop` is None where a screen may not name it."""

    letter: str
    crop: str | None
    jobs: tuple[Job, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """A household as the menu knows it; `cans` are the numbers of those being filled."""

    id: int
    label: str
    plots: tuple[Plot, ...] = ()
    cans: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of a screen: the name of its text, and the values of its fields.

    A value may be a line itself.
    """

    name: str
    fields: Mapping[str, object] = field(default_factory=dict)


def line_of(name: str, fields: Mapping[str, object] | None = None) -> Line:
    """Return a line; without values where its text has no fields."""
    return Line(name=name, fields=fields or {})


Fits = Callable[[Sequence[Line]], bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What is known of the phone at a step.

    Attributes:
        homes: those that may be reported on, by code.
        shared: several households use the phone, so that none is shown before it is chosen.
        may_start: some of its homes get no texts yet.
        back_days: how many days ago a report of this meaning may have been.
        fits: says whether lines fit on one screen of this route in this phone's language.
    """

    standing: Standing
    group: str
    person: str
    today: date
    fits: Fits
    homes: tuple[Home, ...] = ()
    shared: bool = False
    stopped: bool = False
    may_start: bool = False
    back_days: Mapping[Meaning, int] = field(default_factory=dict)

    def home(self, home_id: int | None) -> Home | None:
        """Return a home by its id."""
        return next((home for home in self.homes if home.id == home_id), None)

    def plot(self, home_id: int | None, letter: str | None) -> Plot | None:
        """Return a plot of a home by its letter."""
        home = self.home(home_id)
        plots = () if home is None else home.plots
        return next((plot for plot in plots if plot.letter == letter), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What was chosen and, if it is a fact, confirmed: its meaning, and the code that says it."""

    reading: Reading
    code: Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A screen: its lines, and whether it ends the session."""

    lines: tuple[Line, ...]
    finish: bool = False
