"""Containers with what happened to them and who eats what they feed."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import select

from service.agronomy.regimes import Regime
from service.records.engine import Session
from service.records.fields import ContainerEventRow, ContainerRow
from service.records.people import HouseholdRow


@dataclass(frozen=True, slots=True, kw_only=True)
class ContainerBundle:
    """A container, what happened to it in order, and its household's regime and area."""

    container: ContainerRow
    events: tuple[ContainerEventRow, ...]
    regime: Regime
    area_id: int


def containers(
    session: Session, association_id: int, *, households: Collection[int] | None = None
) -> list[ContainerBundle]:
    """Return the containers (of these households, or of all) by number."""
    rows = (
        select(ContainerRow, HouseholdRow.regime, HouseholdRow.area_id)
        .join(HouseholdRow, HouseholdRow.id == ContainerRow.household_id)
        .where(ContainerRow.association_id == association_id)
        .order_by(ContainerRow.number, ContainerRow.id)
    )
    happened = (
        select(ContainerEventRow)
        .join(ContainerRow, ContainerRow.id == ContainerEventRow.container_id)
        .where(ContainerEventRow.association_id == association_id)
        .order_by(ContainerEventRow.on, ContainerEventRow.id)
    )
    if households is not None:
        rows = rows.where(ContainerRow.household_id.in_(households))
        happened = happened.where(ContainerRow.household_id.in_(households))
    events: dict[int, list[ContainerEventRow]] = defaultdict(list)
    for event in session.scalars(happened):
        events[event.container_id].append(event)
    return [
        ContainerBundle(container=row, events=tuple(events[row.id]), regime=regime, area_id=area_id)
        for row, regime, area_id in session.execute(rows)
    ]
