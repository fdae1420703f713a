"""What a household is told so that its cans last: start, seal, too late, too few."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.balance import Suggestion, household_balance
from service.agronomy.calendar import add_days, days_between
from service.agronomy.collect_plan import CollectPlan, Means, Wanted
from service.agronomy.collecting import collect_for_doses
from service.agronomy.containers import CanState
from service.agronomy.supply import daily_litres
from service.planning.allotting import HouseholdStock, Planned
from service.planning.board import Board, by_household
from service.planning.planner import Notice
from service.planning.season_facts import read_facts
from service.planning.stock import Can
from service.records.fields import DoseState
from service.records.people import HouseholdRow

USUAL_CAN_L = 20.0  # project choice: the usual jerry can
SEAL_BEFORE_DAYS = 3  # project choice: evenings of warning before the last day for sealing
SHORT_BEFORE_DAYS = 21  # project choice: time enough to fill one more can, or to choose plots
SHORT_LEAST_LITRES = 2.0  # less is within what people's days differ by
_BEHIND = (DoseState.DONE, DoseState.NOT_DONE, DoseState.NOT_KNOWN)
_ADVICE = {
    Suggestion.HALVE: "halve",
    Suggestion.DROP_LAST: "last",
    Suggestion.COLLECT_MORE: "collect",
}


def collecting_notices(board: Board, own: Sequence[Planned]) -> list[Notice]:
    """Return what a household should do so that its cans last, or that they will not."""
    found = []
    for household_id, plantings in by_household(own).items():
        cans = board.cans_of(household_id)
        plan = collect_plan(board, plantings) if cans else None
        if plan is not None:
            found += [
                *_seal_by(plan, cans),
                *_too_late(board, plan, plantings),
                *_collect(board, plan, plantings),
            ]
        found += _short(board, plantings)
    return found


def collect_plan(board: Board, plantings: Sequence[Planned]) -> CollectPlan:
    """Return how a household should collect for the doses that its cans do not serve yet."""
    household = plantings[0].bundle.household
    stock = board.stock[household.id]
    return collect_for_doses(
        wanted_of(stock),
        means=collecting_means(household, board.cans_of(household.id), stock, today=board.today),
        today=board.today,
    )


def wanted_of(stock: HouseholdStock) -> list[Wanted]:
    """Return the doses to come that a household collects for."""
    return [
        Wanted(dose=ask.dose, due_on=ask.due_on, litres=ask.litres, regime=ask.regime)
        for ask in stock.asks
    ]


def collecting_means(
    household: HouseholdRow, cans: Sequence[Can], stock: HouseholdStock, *, today: date
) -> Means:
    """Return what a household collects with: its people, its cans, and what is in them.

    Where it has no can yet, one of the usual volume is reckoned with.
    """
    people = daily_litres(
        adults=household.adults, children=household.children, share=household.collected_share
    )
    return Means(
        litres_a_day=people.usual,
        can_litres=max((can.standing.facts.volume_litres for can in cans), default=USUAL_CAN_L),
        stocks=tuple(item for item in stock.stocks if not item.forecast),
        filling_litres=_filling(cans, people.usual, today),
        store_c=cans[0].store_c if cans else None,
    )


def _filling(cans: Sequence[Can], litres_a_day: float, today: date) -> float:
    can = _to_fill(cans)
    if can is None or can.standing.opened_on is None:
        return 0.0
    days = max(0, days_between(can.standing.opened_on, today))
    return min(can.standing.facts.volume_litres, litres_a_day * days)


def _to_fill(cans: Sequence[Can]) -> Can | None:
    """Return the can being filled, else the first that is empty."""
    filling = [can for can in cans if can.state is CanState.FILLING]
    empty = [can for can in cans if can.state is CanState.EMPTY]
    return next(iter((*filling, *empty)), None)


def _collect(board: Board, plan: CollectPlan, plantings: Sequence[Planned]) -> list[Notice]:
    household_id = plantings[0].bundle.household.id
    sowing_on = min(read_facts(planned.bundle).planted_on for planned in plantings)
    can = _to_fill(board.cans_of(household_id))
    if can is None or plan.start_on is None or sowing_on <= board.today:
        return []
    seal_on = plan.seal_by[0].seal_on
    return [
        Notice(
            kind="collect",
            key=f"collect:{household_id}:{min(item.bundle.planting.id for item in plantings)}",
            first_on=plan.start_on,
            last_on=add_days(sowing_on, -1),
            fields={
                "n": can.number,
                "day": seal_on.isoformat() if seal_on > board.today else None,
            },
        )
    ]


def _seal_by(plan: CollectPlan, cans: Sequence[Can]) -> list[Notice]:
    can = _to_fill(cans)
    if can is None or not plan.seal_by or can.state is not CanState.FILLING:
        return []
    seal_on = plan.seal_by[0].seal_on
    return [
        Notice(
            kind="seal_by",
            key=f"seal_by:{can.container_id}:{can.standing.opened_on}",
            first_on=add_days(seal_on, -SEAL_BEFORE_DAYS),
            last_on=add_days(seal_on, -1),
            fields={"n": can.number, "day": seal_on.isoformat()},
        )
    ]


def _too_late(board: Board, plan: CollectPlan, plantings: Sequence[Planned]) -> list[Notice]:
    stock = board.stock[plantings[0].bundle.household.id]
    first = min(stock.asks, key=lambda ask: (ask.due_on, ask.dose), default=None)
    letters = {item.bundle.planting.id: item.bundle.plot.letter for item in plantings}
    if first is None or plan.ready_from is None or not plan.too_late_for_first:
        return []
    letter, ready = letters[first.dose[0]], plan.ready_from
    served = letters[ready.dose[0]]
    if letter is None or served is None or stock.allotted[first.dose].litres > 0:
        return []
    if any(
        _has_doses_behind(item) for item in plantings if item.bundle.planting.id == first.dose[0]
    ):
        return []
    return [
        Notice(
            kind="too_late",
            key=f"too_late:{first.dose[0]}",
            first_on=add_days(first.due_on, -SHORT_BEFORE_DAYS),
            last_on=add_days(first.due_on, -1),
            fields={
                "plot": letter,
                "code": f"{served}{ready.dose[1]}",
                "day": ready.due_on.isoformat(),
            },
        )
    ]


def _has_doses_behind(planned: Planned) -> bool:
    return any(dose.state in _BEHIND for dose in planned.bundle.doses)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """Stock that will not last: the first planting that lacks, and from when to say so.

    `season` is the household's first planting that wants urine, which names the season.
    """

    planting_id: int
    letter: str | None
    litres: float
    warn_on: date
    until: date
    suggestion: Suggestion
    season: int


def short_lack(board: Board, plantings: Sequence[Planned]) -> Lack | None:
    """Return what a household's cans lack for the doses to come, None where they last."""
    stock = board.stock[plantings[0].bundle.household.id]
    lacking = [ask for ask in stock.asks if stock.allotted[ask.dose].short_litres > 0]
    if not lacking:
        return None
    balance = household_balance(
        stock.asks,
        stock.allotted,
        areas_m2={item.bundle.planting.id: item.bundle.plot.area_m2 for item in plantings},
    )
    if balance.short_litres < SHORT_LEAST_LITRES:
        return None
    first = min(lacking, key=lambda ask: (ask.due_on, ask.dose))
    letters = {item.bundle.planting.id: item.bundle.plot.letter for item in plantings}
    return Lack(
        planting_id=first.dose[0],
        letter=letters[first.dose[0]],
        litres=balance.short_litres,
        warn_on=add_days(first.due_on, -SHORT_BEFORE_DAYS),
        until=add_days(first.due_on, -1),
        suggestion=balance.suggestions[0],
        season=min(letters),
    )


def _short(board: Board, plantings: Sequence[Planned]) -> list[Notice]:
    lack = short_lack(board, plantings)
    if lack is None or lack.letter is None:
        return []
    return [
        Notice(
            kind="short",
            key=f"short:{plantings[0].bundle.household.id}:{lack.season}",
            first_on=lack.warn_on,
            last_on=lack.until,
            fields={
                "plot": lack.letter,
                "short": lack.litres,
                "advice": _advice(lack.suggestion, plantings),
            },
        )
    ]


def _advice(suggestion: Suggestion, plantings: Sequence[Planned]) -> object:
    if suggestion is not Suggestion.SERVE_YOUNG:
        return _ADVICE[suggestion]
    youngest = sorted(plantings, key=lambda item: read_facts(item.bundle).planted_on, reverse=True)
    letters = [item.bundle.plot.letter for item in youngest]
    return {"young": [letter for letter in letters if letter is not None]}
