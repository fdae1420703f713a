"""Two associations that lived through the same days, and a coordinator of the first."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.records.tasks import Task, open_task
from service.records.traffic import TaskKind
from tests.web.addresses import asks
from tests.web.neighbours import add_neighbour
from tests.web.reading import Fields, fields_of
from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.web.tree import Element, parse
from tests.web.ward import ward_told
from tests.world import OTHER_PHONE, World, enrol

TYPED = "3"  # what is typed where a form is blank


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnForm:
    """A form on a page of the coordinator's own, filled in somehow."""

    endpoint: str
    path: str
    fields: Fields


@dataclass(frozen=True, slots=True, kw_only=True)
class Offices:
    """Both associations' world, and the first one's coordinator before the pages."""

    world: World
    app: Flask
    client: FlaskClient
    keys: Iterator[int]

    def forms(self) -> list[OwnForm]:
        """Return every form that takes something, from every page of the coordinator's own."""
        found: dict[tuple[str, str], OwnForm] = {}
        bound = self.app.url_map.bind("")
        for ask in asks(self.world):
            answer = self.client.get(ask.path)
            for form in parse(answer.text).every("form") if answer.mimetype == "text/html" else []:
                if form.get("method") == "post":
                    path = form.get("action") or ask.path
                    endpoint = str(bound.match(path, method="POST")[0])
                    made = OwnForm(endpoint=endpoint, path=path, fields=filled(form))
                    found.setdefault((path, str(sorted(made.fields))), made)
        return list(found.values())

    def send(self, path: str, fields: Fields) -> TestResponse:
        """Send a form as one that was not sent before."""
        fresh = {"form_key": f"a-key-of-the-crawl-{next(self.keys):06d}"}
        return self.client.post(path, data=fields | fresh)

    def token(self) -> Fields:
        """Return what a form of the coordinator's own proves itself by."""
        page = parse(self.client.get("/account").text)
        return {"csrf_token": fields_of(next(page.every("form")))["csrf_token"]}


def two_homes(folder: Path) -> tuple[World, str]:
    """Return a world of two homes with something behind every address, and a visit's token."""
    world = World(folder=folder)
    enrolled = enrol(world)
    enrol(world, code="H02", number=OTHER_PHONE, letter="D", can=2)
    token = visit_token(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.text("perhaps D1 or so?", number=OTHER_PHONE, at="2027-03-15T13:00")
    world.text("JOIN", number="+255100000020")
    with world.services.sessions.begin() as session:
        for kind in TaskKind:
            task = Task(
                kind=kind,
                key="made",
                household_id=enrolled.household_id,
                phone_id=enrolled.phone_id,
                planting_id=enrolled.planting_id,
            )
            open_task(session, 1, task, now=world.clock())
    ward_told(world)
    return world, token


@contextmanager
def two_offices(folder: Path) -> Iterator[Offices]:
    """Give both associations in a folder."""
    world, token = two_homes(folder)
    add_neighbour(world)
    app = office_of(world, Wall())
    yield Offices(world=world, app=app, client=browser_of(app, token), keys=count())
    world.close()


def filled(form: Element) -> Fields:
    """Return what a form sends when each blank is filled and the first choice is taken."""
    fields = fields_of(form)
    for each in form.every("input", "textarea", "button"):
        name, kind = each.get("name"), each.get("type")
        if name and (each.tag == "button" or kind in ("radio", "checkbox")):
            fields.setdefault(name, each.get("value"))
        elif name and not fields.get(name):
            fields[name] = TYPED
    for each in form.every("select"):
        values = [option.get("value") for option in each.every("option")]
        fields[each.get("name")] = next(filter(None, values), "")
    return fields
