"""Stock allotted to doses: the earliest due first, of those the youngest plot first. Pure.

A dose that the grower was told of goes before all that are not told yet, and keeps its containers:
it will be poured as it was told.

No dose takes from a container that is not ready for whoever eats its crop. A dose gets all that
can be had without taking from a dose before it; cans sealed already go before cans still expected.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from service.agronomy.calendar import days_between
from service.agronomy.containers import DoseKey, Draw
from service.agronomy.regimes import Regime, container_ready

_NOISE = 1e-9
_NO_DAY = date.min


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What is in a container, or will be: `forecast` where it is not sealed yet."""

    can: int
    sealed_on: date
    litres: float
    longer_rest: bool = False
    forecast: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """A dose that wants urine.

    Attributes:
        due_on: the dose's day, which gives its turn.
        on: the day it is poured: its own, or today where that has passed and it is still open.
        planted_on: the later, the younger the plot.
        litres: what the plan gives it.
        regime: who eats the crop.
        told: the grower has heard of it, with its litres.
    """

    dose: DoseKey
    due_on: date
    on: date
    planted_on: date
    litres: float
    regime: Regime
    told: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Allotment:
    """What a dose gets, from which containers, and what it lacks."""

    litres: float
    short_litres: float
    draws: tuple[Draw, ...]


def turn(ask: Ask) -> tuple[bool, date, int, DoseKey]:
    """Return what an ask's turn is sorted by.

    Told ones come first; then its day, then the younger plot, then its key.
    """
    return (not ask.told, ask.due_on, days_between(ask.planted_on, _NO_DAY), ask.dose)


def allot(
    stocks: Sequence[Stock],
    asks: Iterable[Ask],
    *,
    store_c: float | None,
    rounded: Callable[[float], float] = float,
) -> Mapping[DoseKey, Allotment]:
    """Return what each dose gets, by dose, in the order of their turns.

    Args:
        stocks: containers with what is left in them.
        asks: doses still to be given.
        store_c: the store's mean temperature in degrees Celsius, None if not known.
        rounded: rounds down what a dose gets where it cannot get all; the rest stays in the can.
    """
    # of cans ready on one day the one entered first goes first, in whatever order they come
    shelves = _Shelves(sorted(stocks, key=lambda stock: stock.can), store_c)
    ordered = sorted(asks, key=turn)
    # else every can that an earlier dose could use is open to a later one too
    mixed = len({ask.regime for ask in ordered}) > 1 or any(
        ask.on > later.on for ask, later in pairwise(ordered)
    )
    for ask in ordered:
        wanted = shelves.take(ask, ask.litres)
        while mixed and wanted > _NOISE:
            moved = shelves.make_room(ask, wanted)
            if moved <= _NOISE:
                break
            wanted -= moved
        if wanted > _NOISE:
            shelves.keep_only(ask.dose, rounded(ask.litres - wanted))
    return {ask.dose: shelves.allotment(ask) for ask in ordered}


class _Shelves:
    """The containers while they are being allotted: what is left, and who draws what."""

    def __init__(self, stocks: Sequence[Stock], store_c: float | None) -> None:
        self._stocks = stocks
        self._store_c = store_c
        self._left = [stock.litres for stock in stocks]
        self._ready: dict[Regime, list[tuple[bool, date, int]]] = {}
        self._draws: dict[DoseKey, dict[int, float]] = {}
        self._asks: dict[DoseKey, Ask] = {}

    def take(self, ask: Ask, wanted: float) -> float:
        """Draw what is left in the cans ready for an ask; return what is still wanted."""
        draws: dict[int, float] = {}
        self._draws[ask.dose], self._asks[ask.dose] = draws, ask
        for _, _, place in self._usable(ask):
            if wanted <= _NOISE:
                break
            litres = min(wanted, self._left[place])
            if litres > _NOISE:
                draws[place] = litres
                self._left[place] -= litres
                wanted -= litres
        return wanted

    def make_room(self, ask: Ask, wanted: float) -> float:
        """Let a dose before draw elsewhere what this one could use; return the litres gained."""
        came_from: dict[int, tuple[int, DoseKey] | None] = {
            place: None for _, _, place in self._usable(ask)
        }
        queue = list(came_from)
        for place in queue:  # grows while it is walked: breadth first
            if self._left[place] > _NOISE:
                return self._shift(ask, place, came_from, wanted)
            for dose, draws in self._draws.items():
                if self._asks[dose].told or draws.get(place, 0.0) <= _NOISE:
                    continue
                for _, _, other in self._usable(self._asks[dose]):
                    if other not in came_from:
                        came_from[other] = (place, dose)
                        queue.append(other)
        return 0.0

    def keep_only(self, dose: DoseKey, litres: float) -> None:
        """Put back what a dose draws beyond so many litres, from its last can first."""
        draws = self._draws[dose]
        for place in reversed(tuple(draws)):
            back = min(draws[place], sum(draws.values()) - litres)
            if back <= 0:
                break
            draws[place] -= back
            self._left[place] += back

    def allotment(self, ask: Ask) -> Allotment:
        """Return what an ask was given."""
        draws = tuple(
            Draw(
                can=self._stocks[place].can,
                litres=litres,
                forecast=self._stocks[place].forecast,
            )
            for place, litres in self._draws[ask.dose].items()
            if litres > _NOISE
        )
        litres = sum((draw.litres for draw in draws), start=0.0)
        short = max(0.0, ask.litres - litres)
        return Allotment(litres=litres, short_litres=short if short > _NOISE else 0.0, draws=draws)

    def _shift(
        self,
        ask: Ask,
        found: int,
        came_from: Mapping[int, tuple[int, DoseKey] | None],
        wanted: float,
    ) -> float:
        litres, place = min(wanted, self._left[found]), found
        while (step := came_from[place]) is not None:
            before, dose = step
            litres, place = min(litres, self._draws[dose][before]), before
        first = place
        self._left[found] -= litres
        place = found
        while (step := came_from[place]) is not None:
            before, dose = step
            draws = self._draws[dose]
            draws[before] -= litres
            draws[place] = draws.get(place, 0.0) + litres
            place = before
        own = self._draws[ask.dose]
        own[first] = own.get(first, 0.0) + litres
        return litres

    def _usable(self, ask: Ask) -> Iterable[tuple[bool, date, int]]:
        ready = self._ready.get(ask.regime)
        if ready is None:
            ready = self._ready[ask.regime] = sorted(self._ready_days(ask.regime))
        return (entry for entry in ready if entry[1] <= ask.on)

    def _ready_days(self, regime: Regime) -> Iterable[tuple[bool, date, int]]:
        for place, stock in enumerate(self._stocks):
            ready_on = container_ready(
                stock.sealed_on,
                regime=regime,
                longer_rest=stock.longer_rest,
                store_c=self._store_c,
            ).ready_on
            if ready_on is not None:
                yield (stock.forecast, ready_on, place)
