"""Doses stored and changed by the many."""

from datetime import date

import pytest
from sqlalchemy import select

from service.records.bulk_doses import (
    LINES_A_WRITE,
    ChangedDose,
    NewDose,
    insert_doses,
    update_doses,
)
from service.records.engine import Session
from service.records.fields import DoseRow, DoseState
from tests.world import Enrolled, World, enrol

DAY, CLOSES = date(2027, 3, 15), date(2027, 3, 21)


def a_dose(enrolled: Enrolled, number: int) -> NewDose:
    return NewDose(
        planting_id=enrolled.planting_id,
        number=number,
        due_on=DAY,
        closes_on=CLOSES,
        urine_l=12.5,
        water_l=25.0,
        short_l=2.5,
        state=DoseState.PLANNED,
        reason=None,
    )


def a_change(dose_id: int) -> ChangedDose:
    return ChangedDose(
        dose_id=dose_id,
        due_on=DAY,
        closes_on=DAY,
        urine_l=1.0,
        water_l=2.0,
        short_l=0.0,
        revision=2,
        state=DoseState.DROPPED,
        reason="hold",
    )


def kept(session: Session) -> list[DoseRow]:
    return list(session.scalars(select(DoseRow).order_by(DoseRow.number)))


def test_a_new_dose_is_stored_as_given_and_nobody_has_been_told(world: World) -> None:
    enrolled = enrol(world)
    with world.services.sessions.begin() as session:
        count = insert_doses(session, 1, [a_dose(enrolled, 1)])

        (row,) = kept(session)

    assert count == 1
    assert (row.association_id, row.planting_id, row.number) == (1, enrolled.planting_id, 1)
    assert (row.due_on, row.closes_on) == (DAY, CLOSES)
    assert (row.urine_l, row.water_l, row.short_l) == (12.5, 25.0, 2.5)
    assert (row.state, row.reason, row.revision, row.told) == (DoseState.PLANNED, None, 1, False)


def test_more_doses_than_one_write_holds_are_all_stored(world: World) -> None:
    enrolled = enrol(world)
    with world.services.sessions.begin() as session:
        numbers = range(1, LINES_A_WRITE + 2)
        count = insert_doses(session, 1, (a_dose(enrolled, number) for number in numbers))

        assert count == len(kept(session)) == LINES_A_WRITE + 1


@pytest.mark.parametrize(
    ("association_id", "reason"),
    [pytest.param(1, "hold", id="its own"), pytest.param(2, None, id="another's")],
)
def test_only_the_own_association_changes_a_dose(
    world: World, association_id: int, reason: str | None
) -> None:
    enrolled = enrol(world)
    with world.services.sessions.begin() as session:
        insert_doses(session, 1, [a_dose(enrolled, 1)])
        (row,) = kept(session)

        update_doses(session, association_id, [a_change(row.id)])

        session.expire_all()
        assert kept(session)[0].reason == reason


def test_every_column_of_a_dose_is_stored_or_has_a_value_of_its_own() -> None:
    given = {*NewDose._fields, "association_id", "revision", "told"}

    assert {column.name for column in DoseRow.__table__.columns} == {*given, "id"}
