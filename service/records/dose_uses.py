"""Doses that were poured, or may have been: what the containers have lost to them."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select

from service.agronomy.regimes import Regime
from service.records.engine import Session
from service.records.fields import (
    DoseRow,
    DoseState,
    FactKind,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
)
from service.records.people import HouseholdRow


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseUse:
    """A dose done or not known, its day and litres, and who eats its crop."""

    household_id: int
    planting_id: int
    number: int
    on: date
    litres: float
    regime: Regime


def dose_uses(
    session: Session, association_id: int, *, households: Collection[int] | None = None
) -> list[DoseUse]:
    """Return what was poured from the containers of these households, or of all.

    Silence counts as poured; what was given before the plan knew of it came from no can of ours.
    """
    elsewhere = (
        select(PlantingFactRow.id)
        .where(
            PlantingFactRow.planting_id == DoseRow.planting_id,
            PlantingFactRow.dose_number == DoseRow.number,
            PlantingFactRow.kind == FactKind.ELSEWHERE,
        )
        .exists()
    )
    query = (
        select(
            PlotRow.household_id,
            DoseRow.planting_id,
            DoseRow.number,
            DoseRow.due_on,
            DoseRow.urine_l,
            func.coalesce(PlantingRow.regime, HouseholdRow.regime),
        )
        .join(PlantingRow, PlantingRow.id == DoseRow.planting_id)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(
            DoseRow.association_id == association_id,
            DoseRow.state.in_((DoseState.DONE, DoseState.NOT_KNOWN)),
            ~elsewhere,
        )
        .order_by(DoseRow.due_on, DoseRow.id)
    )
    if households is not None:
        query = query.where(PlotRow.household_id.in_(households))
    return [
        DoseUse(
            household_id=household_id,
            planting_id=planting_id,
            number=number,
            on=due_on,
            litres=urine_l,
            regime=Regime(regime),
        )
        for household_id, planting_id, number, due_on, urine_l, regime in session.execute(query)
    ]
