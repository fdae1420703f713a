"""The drawing of a season: time runs downwards, each mark with its words beside it. Pure.

Ticks stand on the axis at their true days; a mark and its words move off their tick just so far
that no two overlap, and never out of their order.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from textwrap import wrap

from service.agronomy.calendar import days_between

WIDTH = 288.0  # units: what a phone of 320 pixels leaves
LINE = 15.0  # units a line of text, of 12 units
LABEL_X = 58.0
LETTER = 6.8  # units; more than a letter of this size takes on the average
LABEL_LETTERS = int((WIDTH - LABEL_X) / LETTER)
LEAST_LENGTH = 200.0  # units of axis, however few the marks
_EDGE = 10.0
_GAP = 3.0


class Shape(StrEnum):
    """How a day is marked."""

    SOWN = "sown"
    UP = "up"
    UP_ASSUMED = "up-assumed"
    DONE = "done"
    DUE = "due"
    NOT_DONE = "not-done"
    NOT_KNOWN = "not-known"
    DROPPED = "dropped"
    CUTOFF = "cut-off"
    HARVEST = "harvest"


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """A day of the season and the words that stand beside its mark."""

    shape: Shape
    on: date
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle, in units from the upper left corner."""

    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A drawn day: `tick_y` on the axis is its true place, `y` the middle of mark and words."""

    shape: Shape
    on: date
    tick_y: float
    y: float
    lines: tuple[str, ...]

    @property
    def first_line_y(self) -> float:
        """The foot of the first line of words."""
        return self.y - LINE * (len(self.lines) - 1) / 2 + LINE * 0.3

    @property
    def box(self) -> Box:
        """The ground of the words, the longest line counted in letters of usual width."""
        half = LINE * len(self.lines) / 2
        wide = LETTER * max(len(line) for line in self.lines)
        return Box(left=LABEL_X, top=self.y - half, right=LABEL_X + wide, bottom=self.y + half)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """The whole picture; from `shade_y` down nothing is given any more."""

    height: float
    top_y: float
    bottom_y: float
    shade_y: float
    marks: tuple[Mark, ...]


def draw(happenings: Iterable[Happening], *, cutoff_on: date) -> Drawing:
    """Return the picture of a season.

    Args:
        happenings: what to mark; of equal days the first given stands first.
        cutoff_on: the last day for a dose.

    Raises:
        ValueError: there is nothing to mark.
    """
    ordered = sorted(happenings, key=lambda item: item.on)
    if not ordered:
        raise ValueError("a season without a day cannot be drawn")
    words = [tuple(wrap(item.words, LABEL_LETTERS)) or ("",) for item in ordered]
    sizes = [LINE * len(lines) + _GAP for lines in words]
    length = max(LEAST_LENGTH, sum(sizes))
    first_on, last_on = ordered[0].on, ordered[-1].on

    def place(on: date) -> float:
        span = max(1, days_between(first_on, last_on))
        share = days_between(first_on, on) / span
        return _EDGE + length * min(1.0, max(0.0, share))

    ticks = [place(item.on) for item in ordered]
    tops = _apart(
        [tick - size / 2 for tick, size in zip(ticks, sizes, strict=True)], sizes, length=length
    )
    return Drawing(
        height=length + 2 * _EDGE,
        top_y=_EDGE,
        bottom_y=_EDGE + length,
        shade_y=round(place(cutoff_on), 1),
        marks=tuple(
            Mark(
                shape=item.shape,
                on=item.on,
                tick_y=round(tick, 1),
                y=round(top + size / 2, 1),
                lines=lines,
            )
            for item, tick, top, size, lines in zip(ordered, ticks, tops, sizes, words, strict=True)
        ),
    )


def _apart(wanted: Sequence[float], sizes: Sequence[float], *, length: float) -> list[float]:
    tops: list[float] = []
    free = _EDGE
    for top, size in zip(wanted, sizes, strict=True):
        tops.append(max(top, free))
        free = tops[-1] + size
    limit = _EDGE + length
    for place in range(len(tops) - 1, -1, -1):  # what was pushed out below moves up again
        tops[place] = min(tops[place], limit - sizes[place])
        limit = tops[place]
    return tops
