"""From when to collect, and by when to seal, counted back from the days of the doses. Pure.

Cans are filled one after another and to the brim, but for the last; a dose is poured from cans
sealed so long before its day that they have rested. What is in stock already is taken first.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import accumulate
from math import ceil
from types import MappingProxyType

from service.agronomy.allotment import Ask, allot
from service.agronomy.calendar import add_days
from service.agronomy.collect_plan import CollectPlan, Means, NoStart, SealBy, Wanted
from service.agronomy.containers import DoseKey
from service.agronomy.regimes import Regime, StoreReason, rest_days, store_reason
from service.agronomy.supply import days_to_fill, supply_rules

_NOISE = 1e-9
_ONLY_DOSE: DoseKey = (0, 1)
_BY_STORE: Mapping[StoreReason, NoStart] = {
    StoreReason.STORE_UNKNOWN: NoStart.STORE_UNKNOWN,
    StoreReason.COLD_STORE: NoStart.COLD_STORE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lack:
    """Litres to be collected for a dose, and the day by which they must be sealed."""

    wanted: Wanted
    litres: float
    seal_on: date
    reason: StoreReason | None


def collect_by(
    due_on: date, litres: float, *, regime: Regime, means: Means, today: date
) -> CollectPlan:
    """Return how to collect so many litres, all to be ready on one day."""
    wanted = Wanted(dose=_ONLY_DOSE, due_on=due_on, litres=litres, regime=regime)
    return collect_for_doses((wanted,), means=means, today=today)


def collect_for_doses(wanted: Sequence[Wanted], *, means: Means, today: date) -> CollectPlan:
    """Return how to collect for doses, each can sealed in time for the first that needs it.

    Raises:
        ValueError: the cans hold nothing.
    """
    if not means.can_litres > 0:
        raise ValueError("a can holds more than nothing")
    lacking = _lacks(wanted, means)
    lacks = [lack for lack in lacking if lack.reason is None]
    never = tuple(lack.wanted.dose for lack in lacking if lack.reason is not None)
    if not lacks:
        why = next((_BY_STORE[lack.reason] for lack in lacking if lack.reason is not None), None)
        return _no_plan(why or NoStart.NOTHING_LACKS, never)
    filled = _filled(sum((lack.litres for lack in lacks), start=0.0), means)
    days = [_days(litres, means) for litres in filled]
    if days[-1] is None or days[-1] > supply_rules().most_days:
        return _no_plan(NoStart.TOO_LITTLE, never)
    counted = [count or 0 for count in days]
    deadlines = _deadlines(lacks, means, cans=len(filled))
    start_on = min(
        add_days(seal_on, -count) for seal_on, count in zip(deadlines, counted, strict=True)
    )
    ready_from = _ready_from(lacks, means, today)
    return CollectPlan(
        start_on=start_on,
        last_seal_on=deadlines[-1],
        days=counted[-1],
        cans=len(filled),
        seal_by=tuple(
            SealBy(
                place=place,
                litres=litres - before,
                full_on=add_days(start_on, count),
                seal_on=seal_on,
            )
            for place, (before, litres, count, seal_on) in enumerate(
                zip([0.0, *filled[:-1]], filled, counted, deadlines, strict=True), start=1
            )
        ),
        too_late_for_first=ready_from != lacks[0].wanted,
        ready_from=ready_from,
        never_ready=never,
        why_not=None,
    )


def collect_by_regime(
    wanted: Sequence[Wanted], *, means: Means, today: date
) -> Mapping[Regime, CollectPlan]:
    """Return how to collect for doses if the crops were eaten so, for each kind of eater."""
    return MappingProxyType(
        {
            regime: collect_for_doses(
                [replace(dose, regime=regime) for dose in wanted], means=means, today=today
            )
            for regime in Regime
        }
    )


def _lacks(wanted: Sequence[Wanted], means: Means) -> list[_Lack]:
    asks = [
        Ask(
            dose=dose.dose,
            due_on=dose.due_on,
            on=dose.due_on,
            planted_on=dose.due_on,
            litres=dose.litres,
            regime=dose.regime,
        )
        for dose in wanted
    ]
    gets = allot(means.stocks, asks, store_c=means.store_c)
    lacks = [
        _Lack(
            wanted=dose,
            litres=gets[dose.dose].short_litres,
            seal_on=add_days(dose.due_on, -rest_days(dose.regime, longer_rest=means.longer_rest)),
            reason=store_reason(dose.regime, store_c=means.store_c, longer_rest=means.longer_rest),
        )
        for dose in wanted
        if gets[dose.dose].short_litres > _NOISE
    ]
    return sorted(lacks, key=lambda lack: (lack.seal_on, lack.wanted.dose))


def _filled(litres: float, means: Means) -> list[float]:
    """Return what is collected when each can is full, all but the last to the brim."""
    cans = ceil(litres / means.can_litres - _NOISE)
    return [min(litres, place * means.can_litres) for place in range(1, cans + 1)]


def _days(litres: float, means: Means) -> int | None:
    return days_to_fill(max(0.0, litres - means.filling_litres), means.litres_a_day)


def _deadlines(lacks: Sequence[_Lack], means: Means, *, cans: int) -> list[date]:
    """Return for each can the day by which the first dose that reaches into it needs it sealed."""
    reach = list(accumulate(lack.litres for lack in lacks))
    return [
        next(
            (
                lack.seal_on
                for lack, litres in zip(lacks, reach, strict=True)
                if litres > place * means.can_litres + _NOISE
            ),
            lacks[-1].seal_on,
        )
        for place in range(cans)
    ]


def _ready_from(lacks: Sequence[_Lack], means: Means, today: date) -> Wanted | None:
    for place, lack in enumerate(lacks):
        left = sum((later.litres for later in lacks[place:]), start=0.0)
        cans = ceil(lack.litres / means.can_litres - _NOISE)
        days = _days(min(left, cans * means.can_litres), means)
        if days is not None and add_days(today, days) <= lack.seal_on:
            return lack.wanted
    return None


def _no_plan(why: NoStart, never: tuple[DoseKey, ...]) -> CollectPlan:
    return CollectPlan(
        start_on=None,
        last_seal_on=None,
        days=0,
        cans=0,
        seal_by=(),
        too_late_for_first=why is not NoStart.NOTHING_LACKS,
        ready_from=None,
        never_ready=never,
        why_not=why,
    )
