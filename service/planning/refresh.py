"""Recompute a planting's doses from its facts, and write down what changed."""

from datetime import date, datetime

from service.agronomy.season import DroppedDose, PlannedDose, SeasonPlan, plan_season
from service.planning.season_facts import Reports, read_facts, season_facts
from service.planning.stock import Can, ready_can
from service.records.engine import Session
from service.records.fields import DoseRow, DoseState, FactKind, PlantingFactRow, Source
from service.records.plantings import PlantingBundle, planting_bundle

MOST_PASSES = 12  # more than a season has doses


def refresh_planting(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    planting_id: int,
    *,
    cans: tuple[Can, ...],
    today: date,
    now: datetime,
) -> SeasonPlan:
    """Return the planting's plan after writing its doses anew.

    `revision` of a dose rises only when its own day or amount changes. Windows that have closed
    without an answer become `not-known`; those that no ready container could serve are dropped.
    """
    bundle = planting_bundle(session, association_id, planting_id)
    plan = plan_season(season_facts(bundle))
    for _ in range(MOST_PASSES):
        _write(session, bundle, plan, today=today)
        _close_windows(session, bundle, cans, today=today, now=now)
        # what closes or opens again by this plan may free days and litres for the others
        bundle = planting_bundle(session, association_id, planting_id)
        again = plan_season(season_facts(bundle))
        if again == plan:
            break
        plan = again
    return plan


def _write(session: Session, bundle: PlantingBundle, plan: SeasonPlan, *, today: date) -> None:
    rows = {dose.number: dose for dose in bundle.doses}
    reports = read_facts(bundle)
    for planned in plan.doses:
        row = rows.get(planned.number)
        if row is None:
            session.add(_new_row(bundle, planned, _state(planned, reports, None, today)))
            continue
        _move(row, planned)
        row.state, row.reason = _state(planned, reports, row, today), None
    for dropped in plan.dropped:
        row = rows.get(dropped.number)
        if row is None:
            row = _dropped_row(bundle, dropped)
            session.add(row)
        row.state, row.reason = DoseState.DROPPED, dropped.reason.value
    session.flush()


def _new_row(bundle: PlantingBundle, planned: PlannedDose, state: DoseState) -> DoseRow:
    return DoseRow(
        association_id=bundle.planting.association_id,
        planting_id=bundle.planting.id,
        number=planned.number,
        due_on=planned.due_on,
        closes_on=planned.closes_on,
        urine_l=planned.litres,
        water_l=planned.water_litres,
        revision=1,
        state=state,
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
        revision=1,
        told=False,
    )


def _move(row: DoseRow, planned: PlannedDose) -> None:
    changed = (row.due_on, row.urine_l, row.water_l) != (
        planned.due_on,
        planned.litres,
        planned.water_litres,
    )
    row.due_on, row.closes_on = planned.due_on, planned.closes_on
    row.urine_l, row.water_l = planned.litres, planned.water_litres
    if changed:
        row.revision += 1


def _state(planned: PlannedDose, reports: Reports, row: DoseRow | None, today: date) -> DoseState:
    if planned.number in reports.given:
        return DoseState.DONE
    if planned.number in reports.not_done:
        return DoseState.NOT_DONE
    if row is not None and row.state is DoseState.NOT_KNOWN and planned.closes_on < today:
        return DoseState.NOT_KNOWN
    return DoseState.PLANNED


def _close_windows(
    session: Session,
    bundle: PlantingBundle,
    cans: tuple[Can, ...],
    *,
    today: date,
    now: datetime,
) -> None:
    fresh = planting_bundle(session, bundle.planting.association_id, bundle.planting.id)
    for row in fresh.doses:
        if row.state is not DoseState.PLANNED or row.closes_on >= today:
            continue
        if row.told or ready_can(cans, on=row.due_on) is not None:
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
                recorded_at=now,
            )
        )
    session.flush()
