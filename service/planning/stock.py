"""Where each container stands, from what happened to it and what was poured from it. Pure."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.containers import (
    CanEvent,
    CanFacts,
    CanStanding,
    CanState,
    Draw,
    Use,
    stock_book,
)
from service.agronomy.regimes import Regime
from service.records.containers import ContainerBundle
from service.records.dose_uses import DoseUse
from service.records.locality_book import LocalityBook


@dataclass(frozen=True, slots=True, kw_only=True)
class Can:
    """A container today, as for the household's own eaters.

    Attributes:
        ready_on: the day it is or was ready; None: never here.
        litres: what is in it; 0 while it fills, since nobody has measured.
        standing: what it is in the pure core, with which other eaters are judged.
        store_c: the mean temperature of its store in degrees Celsius, None if not known.
    """

    container_id: int
    household_id: int
    number: int
    state: CanState
    sealed_on: date | None
    ready_on: date | None
    litres: float
    standing: CanStanding
    store_c: float | None

    def ready_for(self, regime: Regime) -> date | None:
        """Return the day it is ready for a crop eaten so, None where none can be named."""
        return self.standing.ready_on(regime, store_c=self.store_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """A household's containers, and what each past dose was taken from."""

    cans: tuple[Can, ...]
    draws: Mapping[tuple[int, int], tuple[Draw, ...]]


def stores(
    bundles: Sequence[ContainerBundle],
    uses: Iterable[DoseUse],
    *,
    book: LocalityBook,
    today: date,
) -> dict[int, Store]:
    """Return the containers of each household as they stand today, by number."""
    own: dict[int, list[ContainerBundle]] = defaultdict(list)
    for bundle in bundles:
        own[bundle.container.household_id].append(bundle)
    poured: dict[int, list[Use]] = defaultdict(list)
    for use in uses:
        poured[use.household_id].append(
            Use(dose=(use.planting_id, use.number), on=use.on, litres=use.litres, regime=use.regime)
        )
    return {
        household_id: _store(found, poured[household_id], book, today)
        for household_id, found in own.items()
    }


def _store(
    bundles: Sequence[ContainerBundle], uses: Sequence[Use], book: LocalityBook, today: date
) -> Store:
    store_c = book.store_c.get(bundles[0].area_id)
    told = stock_book([_facts(bundle) for bundle in bundles], uses, store_c=store_c)
    return Store(
        cans=tuple(
            _can(bundle, standing, store_c, today)
            for bundle, standing in zip(bundles, told.cans, strict=True)
        ),
        draws=told.draws,
    )


def _facts(bundle: ContainerBundle) -> CanFacts:
    return CanFacts(
        can=bundle.container.id,
        volume_litres=bundle.container.litres,
        longer_rest=bundle.container.longer_rest,
        events=tuple(CanEvent(kind=event.kind, on=event.on) for event in bundle.events),
    )


def _can(bundle: ContainerBundle, standing: CanStanding, store_c: float | None, today: date) -> Can:
    return Can(
        container_id=bundle.container.id,
        household_id=bundle.container.household_id,
        number=bundle.container.number,
        state=standing.state(bundle.regime, store_c=store_c, today=today),
        sealed_on=standing.sealed_on,
        ready_on=standing.ready_on(bundle.regime, store_c=store_c),
        litres=standing.litres,
        standing=standing,
        store_c=store_c,
    )


def any_ready(cans: Sequence[Can], *, regime: Regime, on: date) -> bool:
    """Say whether any container had rested by a day for a crop eaten so, if it was not empty.

    What is left in a can is reckoned from reports, so one that should be empty still counts.
    """
    days = (can.standing.rested_on(regime, store_c=can.store_c) for can in cans)
    return any(ready_on is not None and ready_on <= on for ready_on in days)


def name_needed(cans: Sequence[Can]) -> bool:
    """Say whether a text must name the can: more than one is not empty."""
    return sum(can.state is not CanState.EMPTY for can in cans) > 1
