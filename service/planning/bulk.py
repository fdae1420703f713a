"""Every open planting of an association planned anew, and all doses stored, in one go.

Households of which only days are known are planned by shape and stored together; any other goes
the way of a single new fact. Both ways end in the same rows.
"""

import gc
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime

from service.agronomy.allotment import Allotment
from service.agronomy.calendar import add_days
from service.agronomy.containers import DoseKey
from service.planning.bulk_rows import (
    WaterBook,
    are_still_to_come,
    changes_of,
    doses_of,
    given_by_cans,
)
from service.planning.bulk_shapes import ShapeBook, Shaped, has_only_days
from service.planning.refresh import NEAR_DAYS, refresh_households
from service.planning.stock import Store, stores
from service.records.bulk_doses import ChangedDose, NewDose, dose_writer, update_doses
from service.records.bulk_looks import (
    HouseholdSpan,
    container_looks,
    has_uses,
    household_spans,
    planting_looks,
)
from service.records.dose_uses import dose_uses
from service.records.engine import Session, each_query_planned
from service.records.locality_book import locality_book
from service.records.plantings import PlantingBundle

HOUSEHOLDS_A_SPAN = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class BulkResult:
    """How many doses were stored or changed in bulk, and how many households were done singly."""

    stored: int = 0
    changed: int = 0
    single_households: int = 0


@dataclass(slots=True, kw_only=True)
class _Span:
    """Some households while they are planned: what to change, and whom to take singly.

    `near` are those of which a dose may be due so soon that their containers decide what it gets.
    """

    today: date
    looks: Mapping[int, Sequence[PlantingBundle]]
    near: Collection[int]
    in_store: Mapping[int, Store]
    changes: list[ChangedDose] = field(default_factory=list)
    single: list[int] = field(default_factory=list)

    def new_doses(self, shapes: ShapeBook, waters: WaterBook) -> Iterator[NewDose]:
        """Give the doses that have no row yet, household by household."""
        for household_id, bundles in self.looks.items():
            items = self._shaped(bundles, shapes)
            if items is None:
                self.single.append(household_id)
                continue
            gets = self._gets(household_id, items) if household_id in self.near else {}
            for item in items:
                doses = doses_of(item, gets, waters)
                if item.bundle.doses:
                    doses, changes = changes_of(item, doses)
                    self.changes += changes
                yield from doses

    def _shaped(
        self, bundles: Sequence[PlantingBundle], shapes: ShapeBook
    ) -> Sequence[Shaped] | None:
        items = []
        for bundle in bundles:
            item = shapes.shaped(bundle)
            if item is None or not are_still_to_come(item, self.today):
                return None
            items.append(item)
        return items

    def _gets(self, household_id: int, items: Sequence[Shaped]) -> Mapping[DoseKey, Allotment]:
        store = self.in_store.get(household_id)
        return given_by_cans(items, () if store is None else store.cans, today=self.today)


def plan_all(session: Session, association_id: int, *, today: date, now: datetime) -> BulkResult:
    """Plan every open planting of an association anew, and store its doses.

    For a new season's import, or after a figure that many plans follow from has changed. The rows
    are those that `refresh_household` writes for each household: `revision` rises with a dose's own
    day or amount, so the texts of the next tick follow. The caller opens and commits.

    Args:
        session: an open transaction; on PostgreSQL new rows go in by COPY.
        association_id: whose plantings.
        today: the farm day, in the association's zone.
        now: the instant for what is recorded.

    Raises:
        RefusedError: as `plan_season`; nothing of it is committed then.
    """
    stored, changed, single = 0, 0, list[int]()
    shapes, waters = ShapeBook(), WaterBook()
    spans = household_spans(session, association_id, size=HOUSEHOLDS_A_SPAN)
    with (
        _collector_resting(),
        each_query_planned(session),
        dose_writer(session, association_id) as writer,
    ):
        span = _next(session, association_id, spans, today)
        while span is not None:
            batch = writer.batch(span.new_doses(shapes, waters))  # as the one before is taken in
            writer.wait()
            changed += update_doses(session, association_id, span.changes)
            single += span.single
            span = _next(session, association_id, spans, today)
            writer.start(batch)
            stored += batch.count
    refresh_households(session, association_id, single, today=today, now=now)
    return BulkResult(stored=stored, changed=changed, single_households=len(single))


@contextmanager
def _collector_resting() -> Iterator[None]:
    """Let no collection run: all that is made here is let go of without one.

    Walking it again and again would take a third of the time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _next(
    session: Session, association_id: int, spans: Iterator[HouseholdSpan], today: date
) -> _Span | None:
    """Return the next households with all that their plans follow from, None after the last."""
    span = next(spans, None)
    if span is None:
        return None
    looks = planting_looks(session, association_id, span)
    near_on = add_days(today, NEAR_DAYS)
    near = {key: None for key, bundles in looks.items() if _may_be_near(bundles, near_on)}
    in_store: Mapping[int, Store] = {}
    if near:
        was_poured = has_uses(session, association_id)
        in_store = stores(
            container_looks(session, association_id, list(near)),
            dose_uses(session, association_id, households=near) if was_poured else (),
            book=locality_book(session, association_id),
            today=today,
        )
    return _Span(today=today, looks=looks, near=near, in_store=in_store)


def _may_be_near(bundles: Sequence[PlantingBundle], near_on: date) -> bool:
    if not all(has_only_days(bundle) for bundle in bundles):
        return False  # such a household is taken singly
    return any(
        bundle.planting.planted_on <= near_on or any(fact.on <= near_on for fact in bundle.facts)
        for bundle in bundles
    )
