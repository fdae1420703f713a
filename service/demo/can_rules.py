"""What must hold of the cans: nothing is told or poured that was not ready. From the rows."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from service.agronomy.calendar import add_days
from service.agronomy.containers import LEAST_LITRES
from service.planning.allotting import eaters_of
from service.planning.send_window import QUIET_UNTIL, at_local, zone_of
from service.planning.stock import Can, stores
from service.records.containers import containers
from service.records.dose_uses import DoseUse, dose_uses
from service.records.engine import Session
from service.records.fields import DoseState, FactKind, Flag
from service.records.locality_book import locality_book
from service.records.plantings import PlantingBundle, association
from service.records.traffic import MessageDoseRow, MessageRow


class CanRules:
    """The cans of every home, as they stood by what was known at a moment."""

    def __init__(
        self, session: Session, association_id: int, bundles: Sequence[PlantingBundle]
    ) -> None:
        """Read what happened to the cans, and when it became known."""
        self._shelf = containers(session, association_id)
        self._book = locality_book(session, association_id)
        self._zone = zone_of(association(session, association_id).zone)
        self._told_at = {
            (fact.planting_id, fact.dose_number): fact.recorded_at
            for bundle in bundles
            for fact in bundle.facts
            if fact.kind is FactKind.APPLIED
        }
        self._closes_on = {
            (dose.planting_id, dose.number): dose.closes_on
            for bundle in bundles
            for dose in bundle.doses
        }
        self._uses: dict[int, list[DoseUse]] = defaultdict(list)
        for use in dose_uses(session, association_id):
            self._uses[use.household_id].append(use)

    def of_text(
        self, row: MessageRow, told: Sequence[tuple[MessageDoseRow, PlantingBundle]], at: datetime
    ) -> Iterator[str]:
        """Name what a text about doses that left at a moment says of cans that were not ready."""
        values = row.fields.get("values", {})
        litres = _litres_told(values, len(told))
        for (link, bundle), said in zip(told, litres, strict=True):
            # a can that became ready late is told of on the evening before it may be poured
            on = max(link.due_on, add_days(row.evening or link.due_on, 1))
            ready = self._ready(bundle, on, known=lambda what: what < at)
            if said > _held(ready) + LEAST_LITRES:
                yield f"message {row.id} tells of more than was ready"
            if not set(values.get("can") or ()) <= {can.number for can in ready}:
                yield f"message {row.id} names a can that was not ready"

    def of_doses(self, bundles: Iterable[PlantingBundle]) -> Iterator[str]:
        """Name the doses that took more than was ready, though nobody said so."""
        for bundle in bundles:
            excused = {
                fact.dose_number
                for fact in bundle.facts
                if fact.kind is FactKind.ELSEWHERE or fact.flag is Flag.NOT_READY
            }
            for dose in bundle.doses:
                if dose.state is not DoseState.DONE or dose.number in excused:
                    continue
                ready = self._ready(bundle, dose.due_on, known=lambda _: True)
                if dose.urine_l > _held(ready) + LEAST_LITRES:
                    yield f"dose {dose.id} took more than was ready"

    def _ready(
        self, bundle: PlantingBundle, on: date, *, known: Callable[[datetime], bool]
    ) -> list[Can]:
        """Return the cans ready for a planting on a day, by what had happened before it."""
        household_id = bundle.household.id
        shelf = [
            replace(
                item,
                events=tuple(
                    event for event in item.events if event.on < on and known(event.recorded_at)
                ),
            )
            for item in self._shelf
            if item.container.household_id == household_id
        ]
        uses = [
            use for use in self._uses[household_id] if use.on < on and known(self._known_at(use))
        ]
        found = stores(shelf, uses, book=self._book, today=on).get(household_id)
        cans = () if found is None else found.cans
        ready = [(can.ready_for(eaters_of(bundle)), can) for can in cans]
        return [can for day, can in ready if day is not None and day <= on and can.litres > 0]

    def _known_at(self, use: DoseUse) -> datetime:
        told_at = self._told_at.get((use.planting_id, use.number))
        # what nobody tells of counts as poured once its window is over
        over_on = add_days(self._closes_on[use.planting_id, use.number], 1)
        return told_at or at_local(over_on, QUIET_UNTIL, self._zone)


def _held(cans: Iterable[Can]) -> float:
    return sum((can.litres for can in cans), start=0.0)


def _litres_told(values: Mapping[str, object], doses: int) -> list[float]:
    jobs = values.get("jobs")
    if isinstance(jobs, list):
        return [float(job["urine"]) for job in jobs]
    return [float(str(values["urine"]))] * doses
