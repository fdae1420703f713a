"""A page asks the database as often, and weighs hardly more, however many homes there are."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from sqlalchemy import event
from werkzeug.routing import Rule

from service.records.people import HouseholdRow
from service.web.style import SHEET
from tests.web.addresses import Ask, asks_of, is_open, rules
from tests.web.crowd import crowd
from tests.web.staff import Wall, browser_of, office_of
from tests.web.two_offices import two_homes
from tests.world import World
from tests.world_looks import rows

FEW, MANY = 10, 1_000  # homes
HEAVIEST = 15_000  # bytes of a page with its sheet
PAGES = [pytest.param(rule, id=rule.rule) for rule in rules("GET") if not is_open(rule)]
Office = tuple[World, FlaskClient]


def office_with(folder: Path, homes: int) -> Office:
    """Return an office with so many homes, and its coordinator."""
    world, token = two_homes(folder)
    crowd(world, homes // 2 - 1)
    assert len(rows(world, HouseholdRow)) == homes
    return world, browser_of(office_of(world, Wall()), token)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """An office with few homes."""
    made = office_with(tmp_path_factory.mktemp("small"), FEW)
    yield made
    made[0].close()


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """An office with many homes."""
    made = office_with(tmp_path_factory.mktemp("large"), MANY)
    yield made
    made[0].close()


@contextmanager
def statements(world: World) -> Iterator[list[str]]:
    """Give a list that the statements of a stretch are noted in."""
    noted: list[str] = []

    def note(*asked: object) -> None:
        noted.append(str(asked[2]))

    engine = world.services.sessions.engine
    event.listen(engine, "before_cursor_execute", note)
    yield noted
    event.remove(engine, "before_cursor_execute", note)


def asked_for(office: Office, ask: Ask) -> list[str]:
    """Return what a page asks the database."""
    world, client = office
    with statements(world) as noted:
        assert client.get(ask.path).status_code == 200, ask.path
    return noted


@pytest.mark.parametrize("rule", PAGES)
def test_a_page_asks_as_often_for_many_homes_as_for_few(
    small: Office, large: Office, rule: Rule
) -> None:
    for ask in asks_of(small[0], rule, "GET"):
        few, many = asked_for(small, ask), asked_for(large, ask)

        assert len(few) == len(many), (ask.path, [one for one in many if many.count(one) > 2])


@pytest.mark.parametrize("rule", PAGES)
def test_a_page_of_many_homes_is_as_light_as_is_promised(large: Office, rule: Rule) -> None:
    heavy = {}
    for ask in asks_of(large[0], rule, "GET"):
        answer = large[1].get(ask.path)
        weight = len(answer.data) + len(SHEET.encode())
        if answer.mimetype == "text/html" and weight > HEAVIEST:
            heavy[ask.path] = weight

    assert heavy == {}


def test_statements_are_counted(small: Office) -> None:
    world, _ = small

    with statements(world) as noted:
        rows(world, HouseholdRow)
        rows(world, HouseholdRow)

    assert len([one for one in noted if "FROM household" in one]) == 2
