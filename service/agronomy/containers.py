"""What is in each container, from what happened to it and what was poured from it. Pure.

A can is full when it is sealed; its rest starts on the day of the last urine added. What was
poured came from the cans that were ready, the one ready longest first; what they could not hold
came from cans still resting, since it came from somewhere.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.regimes import Regime, container_ready

LEAST_LITRES = 0.1  # the smallest measure: a can with less is empty

DoseKey = tuple[int, int]
"""A planting's id and a dose's number."""


class CanState(StrEnum):
    """Where a container stands."""

    EMPTY = "empty"
    FILLING = "filling"
    RESTING = "resting"
    READY = "ready"
    IN_USE = "in-use"


class CanEventKind(StrEnum):
    """What happened to a container."""

    OPENED = "opened"
    SEALED = "sealed"
    REFILLED = "refilled"
    EMPTIED = "emptied"
    LEAKED = "leaked"


@dataclass(frozen=True, slots=True, kw_only=True)
class CanEvent:
    """One thing that happened to a container."""

    kind: CanEventKind
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class CanFacts:
    """A container: its id, volume in litres, and what happened to it, in order."""

    can: int
    volume_litres: float
    longer_rest: bool
    events: tuple[CanEvent, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """A dose that was poured, or that may have been, from some can or other."""

    dose: DoseKey
    on: date
    litres: float
    regime: Regime


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """Litres taken from one container; `forecast` where it is not sealed yet."""

    can: int
    litres: float
    forecast: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CanStanding:
    """A container after its events: litres in it (0 while it fills: nobody has measured).

    `told_sealed_on` is the sealing by what was told alone: what is left in a can is reckoned, and
    one that should be empty may still hold some.
    """

    facts: CanFacts
    litres: float
    opened_on: date | None
    sealed_on: date | None
    leaked_on: date | None
    told_sealed_on: date | None = None

    def rested_on(self, regime: Regime, *, store_c: float | None) -> date | None:
        """Return the first safe day of whatever may be in it, None where none can be named."""
        if self.told_sealed_on is None:
            return None
        return container_ready(
            self.told_sealed_on, regime=regime, longer_rest=self.facts.longer_rest, store_c=store_c
        ).ready_on

    def ready_on(self, regime: Regime, *, store_c: float | None) -> date | None:
        """Return the first day of use for a crop eaten so, None where none can be named."""
        if self.sealed_on is None:
            return None
        return container_ready(
            self.sealed_on, regime=regime, longer_rest=self.facts.longer_rest, store_c=store_c
        ).ready_on

    def state(self, regime: Regime, *, store_c: float | None, today: date) -> CanState:
        """Return where it stands for a crop eaten so."""
        if self.sealed_on is None:
            return CanState.EMPTY if self.opened_on is None else CanState.FILLING
        ready_on = self.ready_on(regime, store_c=store_c)
        if ready_on is None or ready_on > today:
            return CanState.RESTING
        return CanState.READY if self.litres >= self.facts.volume_litres else CanState.IN_USE


@dataclass(frozen=True, slots=True, kw_only=True)
class StockBook:
    """Every container as it stands, and what each past dose was taken from."""

    cans: tuple[CanStanding, ...]
    draws: Mapping[DoseKey, tuple[Draw, ...]]


def stock_book(
    cans: Sequence[CanFacts], uses: Iterable[Use], *, store_c: float | None
) -> StockBook:
    """Return the containers after all events and uses, in the order given.

    On one day, what was poured comes before what happened to a can.
    """
    shelves = [_Shelf(facts) for facts in cans]
    steps: list[tuple[date, int, int, _Shelf | None, CanEventKind | Use]] = [
        (event.on, 1, place, shelf, event.kind)
        for shelf in shelves
        for place, event in enumerate(shelf.facts.events)
    ]
    steps += [(use.on, 0, place, None, use) for place, use in enumerate(uses)]
    draws: dict[DoseKey, tuple[Draw, ...]] = {}
    for on, _, _, shelf, what in sorted(steps, key=lambda step: step[:3]):
        if isinstance(what, Use):
            draws[what.dose] = (*draws.get(what.dose, ()), *_pour(shelves, what, store_c))
        elif shelf is not None:
            shelf.happened(what, on)
    return StockBook(cans=tuple(shelf.standing() for shelf in shelves), draws=draws)


def _pour(shelves: Sequence["_Shelf"], use: Use, store_c: float | None) -> list[Draw]:
    sealed = [
        (shelf.standing().ready_on(use.regime, store_c=store_c) or date.max, place)
        for place, shelf in enumerate(shelves)
        if shelf.sealed_on is not None
    ]
    found: list[Draw] = []
    wanted = use.litres
    for _, place in sorted(sealed):
        litres = shelves[place].take(wanted)
        if litres > 0:
            found.append(Draw(can=shelves[place].facts.can, litres=litres))
            wanted -= litres
    return found


class _Shelf:
    """A container while its story is told."""

    def __init__(self, facts: CanFacts) -> None:
        self.facts = facts
        self.litres = 0.0
        self.opened_on: date | None = None
        self.sealed_on: date | None = None
        self.leaked_on: date | None = None
        self.told_sealed_on: date | None = None

    def happened(self, kind: CanEventKind, on: date) -> None:
        match kind:
            case CanEventKind.OPENED:
                self._told_empty()
                self.opened_on, self.leaked_on = on, None
            case CanEventKind.SEALED:
                self._fill(on)
            case CanEventKind.REFILLED:
                if self.told_sealed_on is not None:
                    self._fill(on)
            case CanEventKind.EMPTIED:
                self._told_empty()
            case CanEventKind.LEAKED:
                self._told_empty()
                self.leaked_on = on

    def take(self, wanted: float) -> float:
        litres = max(0.0, min(wanted, self.litres))
        self.litres -= litres
        if self.litres < LEAST_LITRES:
            self._empty()
        return litres

    def standing(self) -> CanStanding:
        return CanStanding(
            facts=self.facts,
            litres=self.litres,
            opened_on=self.opened_on,
            sealed_on=self.sealed_on,
            leaked_on=self.leaked_on,
            told_sealed_on=self.told_sealed_on,
        )

    def _fill(self, on: date) -> None:
        self.sealed_on, self.opened_on, self.leaked_on = on, None, None
        self.told_sealed_on = on
        self.litres = self.facts.volume_litres

    def _told_empty(self) -> None:
        self._empty()
        self.told_sealed_on = None

    def _empty(self) -> None:
        self.sealed_on, self.opened_on = None, None
        self.litres = 0.0
