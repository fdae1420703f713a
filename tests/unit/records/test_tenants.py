"""One association never sees, changes or closes what belongs to another."""

from collections.abc import Callable, Iterator
from importlib import import_module
from inspect import getmembers, isfunction, signature
from pkgutil import iter_modules

import pytest
from sqlalchemy.exc import NoResultFound

import service.records
from service.records.containers import containers
from service.records.engine import Session, Sessions
from service.records.inbox import (
    inbound,
    mark_read,
    reading_list,
    same_meaning_since,
    texts_since,
    unread_of_phone,
)
from service.records.intake import (
    find_areas,
    find_consents,
    find_container_events,
    find_containers,
    find_households,
    find_imported_days,
    find_links,
    find_open_plantings,
    find_phones,
    find_plantings,
    find_plots,
)
from service.records.lookups import dose_by_id, letter_of_dose
from service.records.phones import phone_by_id, phone_by_number, phones
from service.records.plantings import (
    all_plantings,
    open_plantings,
    planting_bundle,
)
from service.records.season_report import (
    all_messages,
    claimed_at,
    days_left,
    dose_counts,
    dose_links,
    doses_told_by_call,
    flag_counts,
    next_due_at,
    readings,
    task_counts,
    traffic,
)
from service.records.tasks import close_for_dose, close_task, open_tasks, task_keys
from tests.unit.records.full import FULL_NOW, PHONE_ID, full_association
from tests.world import PHONE, START, World

Look = Callable[[Session, int], object]

LOOKS: dict[str, Look] = {
    "all_messages": all_messages,
    "all_plantings": all_plantings,
    "claimed_at": claimed_at,
    "containers": containers,
    "days_left": lambda session, tenant: days_left(session, tenant, kind="dose_rain"),
    "dose_by_id": lambda session, tenant: dose_by_id(session, tenant, 1),
    "dose_counts": dose_counts,
    "dose_links": dose_links,
    "doses_told_by_call": doses_told_by_call,
    "find_areas": find_areas,
    "find_consents": find_consents,
    "find_container_events": find_container_events,
    "find_containers": find_containers,
    "find_households": find_households,
    "find_imported_days": find_imported_days,
    "find_links": find_links,
    "find_open_plantings": find_open_plantings,
    "find_phones": find_phones,
    "find_plantings": find_plantings,
    "find_plots": find_plots,
    "flag_counts": flag_counts,
    "inbound": lambda session, tenant: inbound(session, tenant, 1),
    "next_due_at": next_due_at,
    "open_plantings": open_plantings,
    "open_tasks": open_tasks,
    "phone_by_id": lambda session, tenant: phone_by_id(session, tenant, PHONE_ID),
    "phone_by_number": lambda session, tenant: phone_by_number(session, tenant, PHONE),
    "letter_of_dose": lambda session, tenant: letter_of_dose(session, tenant, 1),
    "phones": phones,
    "planting_bundle": lambda session, tenant: planting_bundle(session, tenant, 1),
    "reading_list": reading_list,
    "unread_of_phone": lambda session, tenant: unread_of_phone(session, tenant, PHONE_ID),
    "readings": readings,
    "same_meaning_since": lambda session, tenant: same_meaning_since(
        session, tenant, PHONE_ID, meaning="done", hint="A1-0", since=START, before_id=99
    ),
    "task_counts": task_counts,
    "task_keys": task_keys,
    "texts_since": lambda session, tenant: texts_since(session, tenant, PHONE, since=START),
    "traffic": traffic,
}
WRITES = {  # tested one by one below, or they only ever add rows of the tenant they are given
    "add_can_event",
    "add_consent",
    "add_hold",
    "audit",
    "close_for_dose",
    "close_task",
    "ensure_route",
    "mark_read",
    "open_task",
    "association",
}


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Sessions]:
    """One association with rows in every table, and another with none; only looked at."""
    world = World(folder=tmp_path_factory.mktemp("full"))
    full_association(world)
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


def dump(sessions: Sessions) -> list[str]:
    with sessions.engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert raw is not None
        return list(raw.iterdump())


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
    before = dump(full)
    with full.begin() as session:
        write(session, 2)
    after_foreign = dump(full)
    with full.begin() as session:
        write(session, 1)

    assert after_foreign == before
    assert dump(full) != before
