"""The dose rows of plantings of which nothing is known yet but their days. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import lru_cache

from service.agronomy.allotment import Allotment
from service.agronomy.calendar import add_days
from service.agronomy.containers import DoseKey
from service.agronomy.season import SeasonFacts, water_on
from service.agronomy.shape import Shape
from service.agronomy.shape_plan import plan_until
from service.planning.allotting import Planned, household_stock
from service.planning.bulk_shapes import Shaped
from service.planning.refresh import NEAR_DAYS
from service.planning.stock import Can
from service.records.bulk_doses import ChangedDose, NewDose
from service.records.fields import DoseRow, DoseState

_OPEN = frozenset({DoseState.PLANNED, DoseState.DROPPED})
_PLANNED, _DROPPED = DoseState.PLANNED, DoseState.DROPPED
_later = lru_cache(maxsize=65_536)(add_days)  # a season has few days, and each comes up often


def are_still_to_come(item: Shaped, today: date) -> bool:
    """Say whether no dose of a planting was closed, told or answered, and each has its rows."""
    closes = item.shape.first_closes_days
    if closes is not None and _later(item.days.planted_on, closes) < today:
        return False
    return _are_open(item.bundle.doses, item.shape)


def _are_open(rows: Sequence[DoseRow], shape: Shape) -> bool:
    if not rows:
        return True
    known = {*shape.numbers, *(drop.number for drop in shape.dropped)}
    return all(row.state in _OPEN and not row.told and row.number in known for row in rows)


def given_by_cans(
    items: Iterable[Shaped], cans: Sequence[Can], *, today: date
) -> Mapping[DoseKey, Allotment]:
    """Return what a household's containers give to the doses whose day is near.

    Theirs is the first turn, so what later doses want takes nothing from them.
    """
    near_on, planned = add_days(today, NEAR_DAYS), []
    for item in items:
        due = item.shape.first_due_days
        if due is not None and _later(item.days.planted_on, due) <= near_on:
            plan = plan_until(item.shape, item.facts, last_on=near_on)
            planned.append(Planned(bundle=item.bundle, plan=plan))
    return household_stock(planned, cans, today=today).allotted if planned else {}


class _Waters(dict[date, float]):
    """Parts of water to one of urine by day, each asked for once."""

    def __init__(self, facts: SeasonFacts) -> None:
        super().__init__()
        self.facts = facts

    def __missing__(self, day: date) -> float:
        found = self[day] = water_on(self.facts, day)
        return found


class WaterBook:
    """The parts of water by day, kept for all plantings with the same seasons and choice."""

    def __init__(self) -> None:
        self._kept: dict[tuple[int, float, float | None], _Waters] = {}

    def of(self, facts: SeasonFacts) -> Mapping[date, float]:
        """Return the parts of water by day for a planting."""
        # the first facts stay with their answer, and so does their tuple of spans with its id
        alike = (id(facts.spans), facts.water_ratio, facts.water_chosen)
        kept = self._kept.get(alike)
        if kept is None:
            kept = self._kept[alike] = _Waters(facts)
        return kept


def doses_of(item: Shaped, gets: Mapping[DoseKey, Allotment], waters: WaterBook) -> list[NewDose]:
    """Return what the rows of a planting's doses hold, those dropped among them."""
    shape, planting_id, planted_on = item.shape, item.bundle.planting.id, item.days.planted_on
    parts, litres_of, found = waters.of(item.base), item.litres, []
    before = {row.number: row for row in item.bundle.doses}
    for place, dose in enumerate(shape.doses):
        number, urine_l, short_l = dose.number, litres_of[place], 0.0
        if gets and (got := gets.get((planting_id, number))) is not None:
            urine_l, short_l = got.litres, got.short_litres
        elif before and (row := before.get(number)) is not None and row.urine_l == urine_l:
            short_l = row.short_l
        due_on, closes_on = _later(planted_on, dose.due_days), _later(planted_on, dose.closes_days)
        water_l = urine_l * parts[due_on]
        found.append(
            NewDose(
                planting_id, number, due_on, closes_on, urine_l, water_l, short_l, _PLANNED, None
            )
        )
    for drop in shape.dropped:
        day, reason = _later(planted_on, drop.due_days), drop.reason.value
        found.append(NewDose(planting_id, drop.number, day, day, 0.0, 0.0, 0.0, _DROPPED, reason))
    return found


def changes_of(item: Shaped, doses: Iterable[NewDose]) -> tuple[list[NewDose], list[ChangedDose]]:
    """Return the doses that have no row yet, and what changes in the rows of the others."""
    rows = {row.number: row for row in item.bundle.doses}
    new = [dose for dose in doses if dose.number not in rows]
    known = ((rows[dose.number], dose) for dose in doses if dose.number in rows)
    changes = [_change(row, dose) for row, dose in known]
    return new, [change for change in changes if change is not None]


def _change(row: DoseRow, dose: NewDose) -> ChangedDose | None:
    """Return what a dose's row becomes, None where it stays; news of its own raise its revision."""
    due_on, closes_on, urine_l, water_l = dose.due_on, dose.closes_on, dose.urine_l, dose.water_l
    if dose.state is DoseState.DROPPED:  # it keeps the day and the litres that it had
        due_on, closes_on, urine_l, water_l = row.due_on, row.closes_on, row.urine_l, row.water_l
    news = (due_on, urine_l, water_l) != (row.due_on, row.urine_l, row.water_l)
    rest = (closes_on, dose.short_l, dose.state, dose.reason)
    if not news and rest == (row.closes_on, row.short_l, row.state, row.reason):
        return None
    return ChangedDose(
        dose_id=row.id,
        due_on=due_on,
        closes_on=closes_on,
        urine_l=urine_l,
        water_l=water_l,
        short_l=dose.short_l,
        revision=row.revision + news,
        state=dose.state,
        reason=dose.reason,
    )
