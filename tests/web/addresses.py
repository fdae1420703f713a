"""The addresses of the pages, taken from the app itself: a new page joins every walk by itself.

A page whose address asks for a thing that `THINGS` or `WORDS` does not know fails the walks, until
it is said here where such a thing is found.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import product

from flask import Flask
from sqlalchemy import select
from werkzeug.routing import Rule

from service.records.base import Base
from service.records.engine import Session
from service.records.fields import ContainerRow, DoseRow, PlantingRow, PlotRow
from service.records.localities import AreaHoldRow, LocalValueRow, SeasonSpanRow
from service.records.people import AreaRow, HouseholdRow, PhoneRow
from service.records.staff import StaffRow, StaffSessionRow
from service.records.traffic import CallTaskRow, InboundRow, MessageRow, RouteRow
from service.sign_in.links import make_link
from service.web.app import PAGES, IdConverter
from service.web.guard import OPEN_BLUEPRINTS
from tests.web.staff import BY
from tests.world import World

THINGS: dict[str, tuple[type[Base], tuple[str, ...]]] = {  # table, and what makes its pages differ
    "area_id": (AreaRow, ()),
    "container_id": (ContainerRow, ("longer_rest",)),
    "dose_id": (DoseRow, ("state",)),
    "hold_id": (AreaHoldRow, ("area_id", "withdrawn_at")),
    "household_id": (HouseholdRow, ("discreet", "needs_call")),
    "message_id": (MessageRow, ("state",)),
    "phone_id": (PhoneRow, ("muted_until",)),
    "planting_id": (PlantingRow, ("season", "transplanted", "closed_on")),
    "plot_id": (PlotRow, ("hazards", "site_ok_at")),
    "route_id": (RouteRow, ("retired", "stopped_at")),
    "session_id": (StaffSessionRow, ()),
    "span_id": (SeasonSpanRow, ()),
    "staff_id": (StaffRow, ()),
    "task_id": (CallTaskRow, ("kind", "closed_at")),
    "text_id": (InboundRow, ("to_read",)),
    "value_id": (LocalValueRow, ()),
}
WORDS: dict[str, tuple[str, ...]] = {
    "part": ("area", "soil", "ground", "decision", "withdrawal"),
    "section": ("people", "phone", "consent", "plot", "planting", "container"),
}
LINK = "token"  # a one-time link's token
OWN = ("static", "style", "gateways")  # answers that are no page


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What may be asked for: the page, one address of it, and how."""

    endpoint: str
    method: str
    path: str
    open: bool  # to a visitor who has not signed in


def rules(method: str) -> list[Rule]:
    """Return the addresses that take a method, from the list of pages alone."""
    bare = Flask("rules", static_folder=None)
    bare.url_map.converters["id"] = IdConverter
    for page in PAGES:
        bare.register_blueprint(page)
    return sorted(
        (
            rule
            for rule in bare.url_map.iter_rules()
            if method in (rule.methods or ()) and blueprint_of(rule) not in OWN
        ),
        key=lambda rule: rule.rule,
    )


def blueprint_of(rule: Rule) -> str:
    """Return the name of the page's blueprint."""
    return str(rule.endpoint).partition(".")[0]


def is_open(rule: Rule) -> bool:
    """Say whether a visitor may see the page who has not signed in."""
    return blueprint_of(rule) in OPEN_BLUEPRINTS


def names_a_thing(rule: Rule) -> bool:
    """Say whether the address holds an id."""
    return "<id:" in rule.rule


def asks(world: World) -> Iterator[Ask]:
    """Yield every page behind the sign-in with each kind of thing that association 1 has."""
    for rule in rules("GET"):
        if not is_open(rule):
            yield from asks_of(world, rule, "GET")


def asks_of(world: World, rule: Rule, method: str, *, association_id: int = 1) -> Iterator[Ask]:
    """Yield the addresses of one page, with each kind of thing that an association has."""
    bare = Flask("rules", static_folder=None)
    bare.url_map.converters["id"] = IdConverter
    bare.add_url_rule(rule.rule, "page", methods=[method])
    names = sorted(rule.arguments)
    choices = [values_of(world, name, association_id) for name in names]
    with bare.test_request_context():
        built = bare.url_map.bind("")
        for values in product(*choices):
            path = built.build("page", dict(zip(names, values, strict=True)), method=method)
            yield Ask(endpoint=rule.endpoint, method=method, path=path, open=is_open(rule))


def values_of(world: World, name: str, association_id: int) -> list[int | str]:
    """Return what may stand in an address for a name, one of each kind.

    Raises:
        AssertionError: nothing is known about the name.
    """
    if name in WORDS:
        return list(WORDS[name])
    if name == LINK:
        return [_a_link(world, association_id)]
    assert name in THINGS, f"say in THINGS or WORDS what stands for <{name}>"
    with world.services.sessions.read() as session:
        found = _samples(session, THINGS[name], association_id)
    assert found, f"the walked association has nothing for <{name}>"
    return list(found)


def _samples(
    session: Session, thing: tuple[type[Base], tuple[str, ...]], association_id: int
) -> list[int]:
    table, kinds = thing
    columns = table.__table__.c
    rows = session.execute(
        select(columns.id, *(columns[kind] for kind in kinds))
        .where(columns.association_id == association_id)
        .order_by(columns.id)
    )
    samples: dict[tuple[object, ...], int] = {}
    for number, *kind in rows:
        # of a time only whether it is set makes a page another
        told = tuple(isinstance(value, date) or value for value in kind)
        samples.setdefault(told, number)
    return list(samples.values())


def _a_link(world: World, association_id: int) -> str:
    with world.services.sessions.begin() as session:
        staff_id = session.scalars(
            select(StaffRow.id).where(StaffRow.association_id == association_id)
        ).first()
        assert staff_id is not None
        return make_link(session, association_id, staff_id, by=BY, now=world.now)
