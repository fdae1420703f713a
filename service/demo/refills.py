"""Which cans a home that collects on has filled again: one stream, into one can after another."""

from collections.abc import Iterable, Mapping
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.agronomy.containers import CanState
from service.agronomy.supply import daily_litres, days_to_fill
from service.planning.allotting import Planned
from service.planning.stock import Can, Store
from service.records.fields import DoseState

LEFT_LITRES = 1.0  # with less in it, a can is rinsed and filled again
TRIES = 3  # days on which the grower tells of a can that nobody noted


def full_again(store: Store, plantings: Iterable[Planned], today: date) -> tuple[int, ...]:
    """Return the numbers of the cans that are full by a day, and not yet sealed."""
    known = tuple(plantings)
    household = known[0].bundle.household
    if not any(
        dose.state is DoseState.PLANNED for planned in known for dose in planned.bundle.doses
    ):
        return ()
    litres_a_day = daily_litres(
        adults=household.adults, children=household.children, share=household.collected_share
    ).usual
    poured_on = {
        (planned.bundle.planting.id, dose.number): dose.due_on
        for planned in known
        for dose in planned.bundle.doses
    }
    spent = sorted(
        (emptied_on, can.number, can)
        for can in store.cans
        if _is_spent(can) and (emptied_on := _emptied_on(store, can, poured_on)) is not None
    )
    free_on = max((can.sealed_on for can in store.cans if can.sealed_on is not None), default=None)
    found = []
    for emptied_on, number, can in spent:
        days = days_to_fill(can.standing.facts.volume_litres, litres_a_day)
        if days is None:
            break
        free_on = add_days(max(emptied_on, free_on or emptied_on), days)
        if 0 <= days_between(free_on, today) < TRIES:
            found.append(number)
    return tuple(found)


def _is_spent(can: Can) -> bool:
    if can.standing.leaked_on is not None:
        return False
    used_up = can.state is CanState.IN_USE and can.litres < LEFT_LITRES
    return used_up or can.state is CanState.EMPTY


def _emptied_on(store: Store, can: Can, poured_on: Mapping[tuple[int, int], date]) -> date | None:
    return max(
        (
            poured_on[dose]
            for dose, draws in store.draws.items()
            if dose in poured_on and any(draw.can == can.container_id for draw in draws)
        ),
        default=None,
    )
