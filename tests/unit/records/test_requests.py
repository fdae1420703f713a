"""A wish to join is found, and closed, by its own association only."""

import pytest
from sqlalchemy.exc import NoResultFound

from service.records.pretend_phones import said_by_strangers
from service.records.requests import close_request, request_number
from service.records.tasks import task_to_settle
from service.records.traffic import TaskKind
from tests.unit.records.full import FULL_NOW
from tests.world import World, an_association
from tests.world_facts import other_association
from tests.world_looks import calls

STRANGER = "+255100000055"


@pytest.fixture
def wished(world: World) -> World:
    """An association that a stranger wants to join, and an empty one."""
    an_association(world)
    world.text("JOIN", number=STRANGER)
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))
    return world


def test_a_wish_names_its_number_to_its_own_association(wished: World) -> None:
    (task,) = calls(wished, TaskKind.ENROL)

    with wished.services.sessions.read() as session:
        assert request_number(session, 1, task.id) == STRANGER
        with pytest.raises(NoResultFound):
            request_number(session, 2, task.id)
        assert [row.sender for row in said_by_strangers(session, 1)] == [STRANGER]
        assert said_by_strangers(session, 2) == []


def test_a_wish_is_closed_once_and_by_its_own_association(wished: World) -> None:
    (task,) = calls(wished, TaskKind.ENROL)

    with wished.services.sessions.begin() as session:
        close_request(session, 2, task.id, who="Stranger", now=FULL_NOW)
    assert calls(wished, TaskKind.ENROL) != []
    with wished.services.sessions.begin() as session:
        close_request(session, 1, task.id, who="Neema", now=FULL_NOW)
        close_request(session, 1, task.id, who="Juma", now=FULL_NOW)

    with wished.services.sessions.read() as session:
        assert task_to_settle(session, 1, task.id).closed_by == "Neema"
