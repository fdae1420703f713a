"""Containers as the pages list them: by area, household and number, a page at a time."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Select, select

from service.records.containers import ContainerBundle
from service.records.engine import Session
from service.records.fields import ContainerEventRow, ContainerRow
from service.records.people import AreaRow, HouseholdRow


@dataclass(frozen=True, slots=True, kw_only=True)
class ContainerLine:
    """A container with what happened to it, its household and the area that lives in."""

    bundle: ContainerBundle
    household: HouseholdRow
    area: AreaRow


def container_ids(session: Session, association_id: int) -> list[int]:
    """Return the ids of all containers, by area, household and number."""
    rows = (
        select(ContainerRow.id)
        .join(HouseholdRow, HouseholdRow.id == ContainerRow.household_id)
        .join(AreaRow, AreaRow.id == HouseholdRow.area_id)
        .where(ContainerRow.association_id == association_id)
        .order_by(AreaRow.name, HouseholdRow.code, HouseholdRow.id, ContainerRow.number)
    )
    return list(session.scalars(rows))


def container_lines(
    session: Session, association_id: int, ids: Collection[int]
) -> list[ContainerLine]:
    """Return these containers, a page of them at most, by area, household and number."""
    events: dict[int, list[ContainerEventRow]] = defaultdict(list)
    for event in session.scalars(
        select(ContainerEventRow)
        .where(
            ContainerEventRow.association_id == association_id,
            ContainerEventRow.container_id.in_(ids),
        )
        .order_by(ContainerEventRow.on, ContainerEventRow.id)
    ):
        events[event.container_id].append(event)
    rows = session.execute(
        _placed(association_id)
        .where(ContainerRow.id.in_(ids))
        .order_by(AreaRow.name, HouseholdRow.code, HouseholdRow.id, ContainerRow.number)
    )
    return [
        _line(container, household, area, events[container.id])
        for container, household, area in rows
    ]


def container_line(session: Session, association_id: int, container_id: int) -> ContainerLine:
    """Return one container."""
    container, household, area = session.execute(
        _placed(association_id).where(ContainerRow.id == container_id)
    ).one()
    events = session.scalars(
        select(ContainerEventRow)
        .where(
            ContainerEventRow.association_id == association_id,
            ContainerEventRow.container_id == container_id,
        )
        .order_by(ContainerEventRow.on, ContainerEventRow.id)
    )
    return _line(container, household, area, list(events))


def _placed(association_id: int) -> Select[ContainerRow, HouseholdRow, AreaRow]:
    return (
        select(ContainerRow, HouseholdRow, AreaRow)
        .join(HouseholdRow, HouseholdRow.id == ContainerRow.household_id)
        .join(AreaRow, AreaRow.id == HouseholdRow.area_id)
        .where(ContainerRow.association_id == association_id)
    )


def _line(
    container: ContainerRow,
    household: HouseholdRow,
    area: AreaRow,
    events: list[ContainerEventRow],
) -> ContainerLine:
    bundle = ContainerBundle(
        container=container,
        events=tuple(events),
        regime=household.regime,
        area_id=household.area_id,
    )
    return ContainerLine(bundle=bundle, household=household, area=area)
