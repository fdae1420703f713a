"""What must be told apart by those who share a phone: plot letters, can numbers, home labels."""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.intake.entries import ContainerEntry, HouseholdEntry, PlantingEntry, PlotEntry
from service.intake.faults import Faults


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A letter, number or label of a household; `row` is None where only the records have it."""

    household: str
    sign: Hashable
    row: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Two marks that a phone cannot tell apart, the later one first."""

    later: Mark
    earlier: Mark


def clashes(marks: Iterable[Mark], sharing: Iterable[Iterable[str]]) -> list[Clash]:
    """Return the marks that stand twice within one household or among those on one phone.

    `sharing` holds, for each phone, the codes of its households.
    """
    by_household: Mapping[str, list[Mark]] = defaultdict(list)
    for mark in marks:
        by_household[mark.household].append(mark)
    groups = [(code,) for code in by_household]
    found: dict[Mark, Clash] = {}
    for group in (*groups, *sharing):
        first: dict[Hashable, Mark] = {}
        together = [mark for code in dict.fromkeys(group) for mark in by_household.get(code, ())]
        for mark in sorted(together, key=_by_row):
            earlier = first.setdefault(mark.sign, mark)
            if earlier is not mark:
                found.setdefault(mark, Clash(later=mark, earlier=earlier))
    return list(found.values())


def _by_row(mark: Mark) -> int:
    return -1 if mark.row is None else mark.row


def note_clashes(
    file: str,
    column: str,
    found: Iterable[Clash],
    faults: Faults,
) -> None:
    """Note each clash at its later row."""
    for clash in found:
        other = "A record" if clash.earlier.row is None else f"Row {clash.earlier.row}"
        faults.add(
            file,
            clash.later.row or 0,
            column,
            f"{other} has the same {column} in this household or one on the same phone; "
            "give each its own.",
        )


def letter_marks(plots: Iterable[PlotEntry]) -> list[Mark]:
    """Return the letters of the plots that have one."""
    return [
        Mark(household=plot.household, sign=plot.letter, row=plot.row)
        for plot in plots
        if plot.letter is not None
    ]


def number_marks(containers: Iterable[ContainerEntry]) -> list[Mark]:
    """Return the numbers of the containers."""
    return [Mark(household=can.household, sign=can.number, row=can.row) for can in containers]


def label_marks(households: Iterable[HouseholdEntry]) -> list[Mark]:
    """Return the labels of the households, without regard to case."""
    return [
        Mark(household=home.code, sign=home.label.casefold(), row=home.row) for home in households
    ]


def check_one_planting_at_a_time(plantings: Iterable[PlantingEntry], faults: Faults) -> None:
    """Note each planting that begins while another still stands on the same plot."""
    by_plot: Mapping[tuple[str, str], list[PlantingEntry]] = defaultdict(list)
    for entry in plantings:
        by_plot[entry.household, entry.plot].append(entry)
    for together in by_plot.values():
        ordered = sorted(together, key=lambda entry: (entry.planted_on, entry.row))
        for earlier, later in pairwise(ordered):
            days = earlier.season_days or crop(earlier.crop).season_days
            if later.planted_on < add_days(earlier.planted_on, days):
                faults.add(
                    "plantings.csv",
                    later.row,
                    "plot",
                    f"The planting of row {earlier.row} still stands on this plot; remove it, or "
                    "give this crop a plot with a letter and an area of its own.",
                )
