"""How the season's doses stand: sums by area, and the rows of the table to take away. Pure.

Done, not done and not known stay three things; nobody is compared with anybody.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.planning.usual_day import Course, is_late, usual_day
from service.records.fields import DoseState, FactKind, Source
from service.records.season_page import AreaCount, SeasonDose, SeasonFact

CELLS = (
    "household", "plot", "crop", "dose", "due_on", "state", "reason", "given_on", "told_by",
    "litres",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@", "\t", "\r")

Facts = Mapping[int, Sequence[SeasonFact]]
Holds = Mapping[int, Sequence[tuple[date, date]]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """Doses by how they stand."""

    on_time: int
    late: int
    not_done: int
    not_known: int
    to_come: int
    dropped: int

    @property
    def done(self) -> int:
        """Doses known to be done."""
        return self.on_time + self.late

    @property
    def over(self) -> int:
        """Doses whose days are over: told of, or passed in silence."""
        return self.done + self.not_done + self.not_known

    @property
    def every(self) -> int:
        """All doses."""
        return self.over + self.to_come + self.dropped

    def share(self, doses: int) -> int:
        """Return how many of a hundred doses whose days are over these are, in whole numbers."""
        return round(100 * doses / self.over) if self.over else 0


def sums_by_area(counts: Iterable[AreaCount], late: Mapping[int, int]) -> Mapping[int, Sums]:
    """Return the sums of each area that has doses; `late` counts its doses done late."""
    states: dict[int, Counter[DoseState]] = defaultdict(Counter)
    for count in counts:
        states[count.area_id][count.state] += count.doses
    return {
        area_id: Sums(
            on_time=found[DoseState.DONE] - late.get(area_id, 0),
            late=late.get(area_id, 0),
            not_done=found[DoseState.NOT_DONE],
            not_known=found[DoseState.NOT_KNOWN],
            to_come=found[DoseState.PLANNED],
            dropped=found[DoseState.DROPPED],
        )
        for area_id, found in states.items()
    }


def total(sums: Iterable[Sums]) -> Sums:
    """Return the sums of all areas together."""
    every = list(sums)
    return Sums(
        on_time=sum(each.on_time for each in every),
        late=sum(each.late for each in every),
        not_done=sum(each.not_done for each in every),
        not_known=sum(each.not_known for each in every),
        to_come=sum(each.to_come for each in every),
        dropped=sum(each.dropped for each in every),
    )


def late_by_area(done: Iterable[SeasonDose], facts: Facts, holds: Holds) -> Mapping[int, int]:
    """Return how many doses were done late, by area."""
    courses: dict[int, Course] = {}
    late: Counter[int] = Counter()
    for dose in done:
        course = courses.get(dose.planting_id)
        if course is None:
            course = courses[dose.planting_id] = course_of(dose, facts, holds)
        if is_late(course, dose.number):
            late[dose.area_id] += 1
    return late


def course_of(dose: SeasonDose, facts: Facts, holds: Holds) -> Course:
    """Return what became known of a dose's planting."""
    planted_on, emerged_on = dose.planted_on, None
    given: dict[int, date] = {}
    for fact in facts.get(dose.planting_id, ()):
        match fact.kind:
            case FactKind.SOWN:
                planted_on = fact.on
            case FactKind.EMERGED:
                emerged_on = fact.on
            case FactKind.APPLIED if fact.number is not None:
                given.setdefault(fact.number, fact.on)  # the first report of a dose stands
            case _:
                pass
    return Course(
        crop=dose.crop,
        planted_on=planted_on,
        emerged_on=emerged_on if emerged_on is None or emerged_on >= planted_on else None,
        given=given,
        holds=holds.get(dose.planting_id, ()),
    )


def cells_of(dose: SeasonDose, facts: Facts, holds: Holds) -> tuple[str, ...]:
    """Return a dose's row of the table to take away, without names and numbers of people."""
    done = dose.state is DoseState.DONE
    due_on = usual_day(course_of(dose, facts, holds), dose.number) if done else dose.on
    source = _source(dose, facts)
    return tuple(
        safe_cell(cell)
        for cell in (
            dose.household,
            dose.letter or "",
            dose.crop,
            str(dose.number),
            due_on.isoformat(),
            dose.state.value,
            dose.reason or "",
            dose.on.isoformat() if done else "",
            "" if source is None else source.value,
            f"{dose.litres:g}",
        )
    )


def _source(dose: SeasonDose, facts: Facts) -> Source | None:
    kind = {DoseState.DONE: FactKind.APPLIED, DoseState.NOT_DONE: FactKind.NOT_APPLIED}.get(
        dose.state
    )
    found = [
        fact.source
        for fact in facts.get(dose.planting_id, ())
        if (fact.kind, fact.number) == (kind, dose.number)
    ]
    if not found:
        return None
    return found[0] if kind is FactKind.APPLIED else found[-1]


def safe_cell(cell: str) -> str:
    """Return a cell that no table program takes for a formula."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell
