"""One association never sees, changes or closes what belongs to another."""

from collections.abc import Callable, Iterator
from importlib import import_module
from inspect import getmembers, isfunction, signature
from pkgutil import iter_modules

import pytest
from sqlalchemy.exc import NoResultFound

import service.records
from service.records.engine import Session, Sessions
from service.records.inbox import (
    mark_read,
)
from service.records.tasks import (
    close_for_dose,
    close_task,
    put_off_task,
)
from tests.everything import everything
from tests.unit.records.full import FULL_NOW, HELD_ON, full_association
from tests.unit.records.full_staff import full_staff
from tests.unit.records.looks import LOOKS, WRITES, Look
from tests.world import World


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Sessions]:
    """One association with rows in every table, and another with none; only looked at."""
    world = World(folder=tmp_path_factory.mktemp("full"))
    full_association(world)
    full_staff(world)
    yield world.services.sessions
    world.close()


def looked(sessions: Sessions, look: Look, tenant: int) -> object:
    with sessions.read() as session:
        try:
            return look(session, tenant)
        except NoResultFound:
            return None


@pytest.mark.parametrize("name", LOOKS)
def test_a_query_finds_the_own_rows_and_nobody_elses(full: Sessions, name: str) -> None:
    own, foreign = looked(full, LOOKS[name], 1), looked(full, LOOKS[name], 2)

    assert own
    assert not foreign


def test_every_query_that_takes_an_association_is_asked_here() -> None:
    found = set()
    for module in iter_modules(service.records.__path__):
        if module.ispkg or module.name == "migrations":
            continue
        code = import_module(f"service.records.{module.name}")
        found |= {
            name
            for name, function in getmembers(code, isfunction)
            if not name.startswith("_")
            and function.__module__ == code.__name__
            and "association_id" in signature(function).parameters
        }

    assert found == LOOKS.keys() | WRITES


@pytest.mark.parametrize(
    "write",
    [
        pytest.param(
            lambda session, tenant: mark_read(session, tenant, 2, who="x", now=FULL_NOW),
            id="mark a text read",
        ),
        pytest.param(
            lambda session, tenant: close_task(session, tenant, 1, outcome="x", now=FULL_NOW),
            id="close a call",
        ),
        pytest.param(
            lambda session, tenant: put_off_task(session, tenant, 2, until=HELD_ON, tries=1),
            id="put off a call",
        ),
        pytest.param(
            lambda session, tenant: close_for_dose(session, tenant, 4, now=FULL_NOW),
            id="close a dose's calls",
        ),
    ],
)
def test_a_change_reaches_the_own_rows_only(
    world: World, write: Callable[[Session, int], None]
) -> None:
    full_association(world)
    full = world.services.sessions
    before = everything(full.engine)
    with full.begin() as session:
        write(session, 2)
    after_foreign = everything(full.engine)
    with full.begin() as session:
        write(session, 1)

    assert after_foreign == before
    assert everything(full.engine) != before
