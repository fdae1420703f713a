"""Recompute a household's doses from its facts, and write down what changed."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from service.agronomy.allotment import Allotment
from service.agronomy.calendar import add_days
from service.agronomy.season import SeasonFacts, plan_season, water_on
from service.agronomy.season_plan import DroppedDose, PlannedDose, SeasonPlan
from service.planning.allotting import HouseholdStock, Planned, household_stock
from service.planning.cans import cans_by_household
from service.planning.season_facts import Reports, read_facts, season_facts
from service.planning.stock import Can
from service.records.engine import Session
from service.records.fields import DoseRow, DoseState, FactKind, PlantingFactRow, Source
from service.records.plantings import PlantingBundle, open_plantings

MOST_PASSES = 12  # more than a season has doses
NOT_IN_PATTERN = "not-in-pattern"
NEAR_DAYS = 2  # before its day a dose gets what is really there; texts are planned no earlier


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """The farm day, and the instant for what is recorded."""

    today: date
    now: datetime


def refresh_household(
    session: Session, association_id: int, household_id: int, *, today: date, now: datetime
) -> dict[int, SeasonPlan]:
    """Return the plans of a household's open plantings after writing their doses anew.

    `revision` of a dose rises only when its own day or amount changes. A dose whose day is near
    gets no more than the containers hold for it. Windows that have closed without an answer become
    `not-known`; those that no ready container could serve are dropped.
    """
    when = When(today=today, now=now)
    planned = _planned(session, association_id, household_id)
    for _ in range(MOST_PASSES):
        cans = cans_by_household(
            session, association_id, today=today, households=(household_id,)
        ).get(household_id, ())
        _write_all(session, planned, cans, when)
        # what closes or opens again by these plans may free days and litres for the others
        again = _planned(session, association_id, household_id)
        if [item.plan for item in again] == [item.plan for item in planned]:
            break
        planned = again
    return {item.bundle.planting.id: item.plan for item in planned}


def is_stale(planned: Planned, stock: HouseholdStock, *, today: date) -> bool:
    """Say whether a planting's stored doses are not what its facts and the day make them."""
    rows = {row.number: row for row in planned.bundle.doses}
    if any(row.state is DoseState.PLANNED and row.closes_on < today for row in rows.values()):
        return True
    numbers = _numbers(planned.plan)
    if any(row.state is DoseState.PLANNED and row.number not in numbers for row in rows.values()):
        return True
    return any(
        _is_off(dose, rows.get(dose.number), stock, planned.bundle.planting.id, today)
        for dose in planned.plan.doses
    ) or any(
        dose.number not in rows or rows[dose.number].state is not DoseState.DROPPED
        for dose in planned.plan.dropped
    )


def _is_off(
    dose: PlannedDose, row: DoseRow | None, stock: HouseholdStock, planting_id: int, today: date
) -> bool:
    if row is None or (row.due_on, row.closes_on) != (dose.due_on, dose.closes_on):
        return True
    if row.state is DoseState.DROPPED:
        return True
    if row.state is not DoseState.PLANNED or row.told:
        return False
    got = stock.allotted.get((planting_id, dose.number))
    if got is None or dose.due_on > add_days(today, NEAR_DAYS):
        return row.urine_l != dose.litres
    return (row.urine_l, row.short_l) != (got.litres, got.short_litres)


def refresh_households(
    session: Session,
    association_id: int,
    households: Collection[int],
    *,
    today: date,
    now: datetime,
) -> None:
    """Write the doses of these households anew."""
    for household_id in households:
        refresh_household(session, association_id, household_id, today=today, now=now)


def _planned(session: Session, association_id: int, household_id: int) -> list[Planned]:
    bundles = open_plantings(session, association_id, households=(household_id,))
    return [Planned(bundle=bundle, plan=plan_season(season_facts(bundle))) for bundle in bundles]


def _write_all(
    session: Session, planned: Collection[Planned], cans: tuple[Can, ...], when: When
) -> None:
    allotted = household_stock(planned, cans, today=when.today).allotted
    for item in planned:
        gets = {
            number: allotment
            for (planting_id, number), allotment in allotted.items()
            if planting_id == item.bundle.planting.id
        }
        rows = _write(session, item, gets, when)
        _close_windows(session, rows, when)
    session.flush()


def _write(
    session: Session, item: Planned, gets: Mapping[int, Allotment], when: When
) -> list[DoseRow]:
    bundle, facts = item.bundle, season_facts(item.bundle)
    rows = {dose.number: dose for dose in bundle.doses}
    reports = read_facts(bundle)
    for planned in item.plan.doses:
        known = rows.get(planned.number)
        state = _state(planned, reports, known, when.today)
        if known is None:
            known = rows[planned.number] = _new_row(bundle, planned)
            session.add(known)
        near = planned.due_on <= add_days(when.today, NEAR_DAYS)
        told = planned.number in facts.told_litres
        got = gets.get(planned.number) if near and not told else None
        _move(known, planned, facts, got)
        known.state, known.reason = state, None
    for dropped in item.plan.dropped:
        known = rows.get(dropped.number)
        if known is None:
            known = rows[dropped.number] = _dropped_row(bundle, dropped)
            session.add(known)
        known.state, known.reason, known.short_l = DoseState.DROPPED, dropped.reason.value, 0.0
    for number in rows.keys() - _numbers(item.plan):
        if rows[number].state is DoseState.PLANNED:  # the pattern has become shorter
            rows[number].state, rows[number].reason = DoseState.DROPPED, NOT_IN_PATTERN
    return list(rows.values())


def _numbers(plan: SeasonPlan) -> set[int]:
    return {dose.number for dose in plan.doses} | {dose.number for dose in plan.dropped}


def _new_row(bundle: PlantingBundle, planned: PlannedDose) -> DoseRow:
    return DoseRow(
        association_id=bundle.planting.association_id,
        planting_id=bundle.planting.id,
        number=planned.number,
        due_on=planned.due_on,
        closes_on=planned.closes_on,
        urine_l=0.0,
        water_l=0.0,
        short_l=0.0,
        revision=0,
        state=DoseState.PLANNED,
        reason=None,
        told=False,
    )


def _dropped_row(bundle: PlantingBundle, dropped: DroppedDose) -> DoseRow:
    # kept, so that a person can see the dose and why it is not to be given
    return DoseRow(
        association_id=bundle.planting.association_id,
        planting_id=bundle.planting.id,
        number=dropped.number,
        due_on=dropped.due_on,
        closes_on=dropped.due_on,
        urine_l=0.0,
        water_l=0.0,
        short_l=0.0,
        revision=1,
        told=False,
    )


def _move(row: DoseRow, planned: PlannedDose, facts: SeasonFacts, got: Allotment | None) -> None:
    before = (row.due_on, row.urine_l, row.water_l, row.revision > 0)
    row.due_on, row.closes_on = planned.due_on, planned.closes_on
    if got is not None:
        row.urine_l, row.short_l = got.litres, got.short_litres
    elif row.urine_l != planned.litres:
        row.urine_l, row.short_l = planned.litres, 0.0
    row.water_l = row.urine_l * water_on(facts, planned.due_on)
    if before != (row.due_on, row.urine_l, row.water_l, True):
        row.revision += 1


def _state(planned: PlannedDose, reports: Reports, row: DoseRow | None, today: date) -> DoseState:
    if planned.number in reports.given:
        return DoseState.DONE
    if planned.number in reports.not_done:
        return DoseState.NOT_DONE
    if row is not None and row.state is DoseState.NOT_KNOWN and planned.closes_on < today:
        return DoseState.NOT_KNOWN
    return DoseState.PLANNED


def _close_windows(session: Session, rows: Iterable[DoseRow], when: When) -> None:
    for row in rows:
        if row.state is not DoseState.PLANNED or row.closes_on >= when.today:
            continue
        if row.told or row.urine_l > 0:
            row.state = DoseState.NOT_KNOWN
            continue
        session.add(
            PlantingFactRow(
                association_id=row.association_id,
                planting_id=row.planting_id,
                kind=FactKind.NOT_READY,
                dose_number=row.number,
                on=row.closes_on,
                source=Source.SERVICE,
                flag=None,
                recorded_at=when.now,
            )
        )
