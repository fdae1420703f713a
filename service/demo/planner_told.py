"""What the planner did in a season, in lines for a person at a terminal."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date

from service.agronomy.calendar import days_between
from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime, container_ready, rest_days
from service.demo.plan_log import tallies
from service.messages.lifecycle import STILL_HERE
from service.planning.allotting import eaters_of
from service.planning.corrections import CORRECTION_KINDS
from service.planning.tick import NOTICE_KINDS
from service.records.containers import ContainerBundle, containers
from service.records.engine import Session
from service.records.fields import DoseState, FactKind
from service.records.locality_book import locality_book
from service.records.plantings import PlantingBundle, all_plantings
from service.records.season_report import all_messages

NAME_WIDTH, COLUMNS = 34, ("times", "moved", "dropped", "back", "litres")
ENDS = {FactKind.FAILED: "failed", FactKind.HARVESTED: "harvested"}


def planner_lines(session: Session, association_id: int) -> Iterator[str]:
    """Return what changed and why, what was short, and what was said once."""
    bundles = all_plantings(session, association_id)
    yield "What the planner did: doses moved, dropped, back, and of other litres, by what was new"
    yield _row("", COLUMNS)
    for name, counts in _counts(session, association_id, bundles).items():
        yield _row(name, [str(count) for count in counts])
    yield "What the cans gave"
    yield from _litres(session, association_id, bundles)
    yield "What was said once: texts, each for a thing of its own"
    yield from _notices(session, association_id)


def _counts(
    session: Session, association_id: int, bundles: Sequence[PlantingBundle]
) -> dict[str, list[int]]:
    found = tallies(session, association_id)
    for kind, name in ENDS.items():
        # a planting that is over has no plan any more; its doses to come are dropped for its end
        times = sum(fact.kind is kind for bundle in bundles for fact in bundle.facts)
        dropped = sum(dose.reason == name for bundle in bundles for dose in bundle.doses)
        found[name] = [times, 0, dropped, 0, 0]
    return dict(sorted(found.items()))


def _litres(
    session: Session, association_id: int, bundles: Sequence[PlantingBundle]
) -> Iterator[str]:
    doses = [dose for bundle in bundles for dose in bundle.doses]
    short = [dose for dose in doses if dose.state is not DoseState.DROPPED and dose.short_l > 0]
    lacking = sum((dose.short_l for dose in short), start=0.0)
    elsewhere = {
        (fact.planting_id, fact.dose_number)
        for bundle in bundles
        for fact in bundle.facts
        if fact.kind is FactKind.ELSEWHERE
    }
    given = sum(
        (
            dose.urine_l
            for dose in doses
            if dose.state is DoseState.DONE and (dose.planting_id, dose.number) not in elsewhere
        ),
        start=0.0,
    )
    ready = _ever_ready(session, association_id, bundles)
    yield _line("doses with less than planned", f"{len(short):5d} {lacking:9.1f} L short")
    yield _line("given, of what was ready", f"{given:9.1f} L of {ready:.1f} L")


def _ever_ready(session: Session, association_id: int, bundles: Sequence[PlantingBundle]) -> float:
    book = locality_book(session, association_id)
    regimes: dict[int, Regime] = {}
    last_on: dict[int, date] = {}
    for bundle in bundles:
        home = bundle.household.id
        days = [dose.closes_on for dose in bundle.doses]
        last_on[home] = max([*days, last_on.get(home, date.min)])
        regimes[home] = min(regimes.get(home, eaters_of(bundle)), eaters_of(bundle), key=_rest)
    return sum(
        (
            _fills(item, regimes[home], book.store_c.get(item.area_id), last_on[home])
            * item.container.litres
            for item in containers(session, association_id)
            if (home := item.container.household_id) in regimes
        ),
        start=0.0,
    )


def _rest(regime: Regime) -> int:
    return rest_days(regime, longer_rest=False)


def _fills(item: ContainerBundle, regime: Regime, store_c: float | None, last_on: date) -> int:
    """Return how often a can became ready before its home's last dose was over."""
    count, sealed_on = 0, None
    ends = [(event.kind, event.on) for event in item.events]
    for kind, on in [*ends, (CanEventKind.EMPTIED, last_on)]:
        if sealed_on is not None:
            ready_on = container_ready(
                sealed_on, regime=regime, longer_rest=item.container.longer_rest, store_c=store_c
            ).ready_on
            if ready_on is not None and days_between(ready_on, on) >= 0:
                count, sealed_on = count + 1, None
        if kind in (CanEventKind.SEALED, CanEventKind.REFILLED):
            sealed_on = on
    return count


def _notices(session: Session, association_id: int) -> Iterator[str]:
    kinds = Counter(
        row.kind
        for row in all_messages(session, association_id)
        if row.token is not None and row.state not in STILL_HERE
    )
    for kind in (*NOTICE_KINDS, *CORRECTION_KINDS, "moved", "moved_rain"):
        if kinds[kind]:
            yield _line(kind, f"{kinds[kind]:5d}")


def _row(name: str, cells: Sequence[str]) -> str:
    return _line(name, "".join(f"{cell:>8}" for cell in cells))


def _line(name: str, value: str) -> str:
    return f"  {name:<{NAME_WIDTH}}{value}".rstrip()
