"""The demo association some weeks into its season, with something on every page."""

import re
from datetime import date, datetime
from pathlib import Path

from service.agronomy.calendar import add_days
from service.cli.store import take_in
from service.records.people import HouseholdRow
from service.records.tasks import Task, open_task
from service.records.traffic import CallTaskRow, TaskKind
from tests.web.ward import ward_told
from tests.world import ZONE, World
from tests.world_looks import messages, rows

ASSOCIATION = Path(__file__).parents[2] / "deploy" / "association"
ENROLLED_AT = datetime(2027, 2, 22, 9, 0, tzinfo=ZONE)
FIRST_DAY, LAST_DAY = date(2027, 3, 8), date(2027, 4, 9)
STRANGER = "+255100000070"
CODE = re.compile(r"\b[ADGJMPTW][0-9]\b")
SAID = {  # what a phone says beside its codes, by day
    date(2027, 3, 20): [(2, "perhaps A1 or so?"), (4, "A RAIN"), (12, "STOP")],
    date(2027, 3, 28): [(5, "A UP"), (9, "CAN 2"), (10, "my child drank from it")],
    date(2027, 4, 8): [(2, "we did most of it <b>\"'&"), (7, "stop it please?"), (14, "WHY A")],
}


def lived_in(folder: Path) -> World:
    """Return the demo's world on the evening of 9 April 2027, lived through by its growers.

    Two of three phones answer the code they were asked for; the others stay silent, so that calls
    are due. Of each kind of call at least one is open.
    """
    world = World(folder=folder, now=ENROLLED_AT)
    take_in(world.services, ASSOCIATION)
    world.services.step()
    for number in sorted({row.number for row in messages(world, "consent")}):
        world.gateway.answer(number, "YES")
    world.gateway.answer(STRANGER, "JOIN")
    world.services.step()
    day = FIRST_DAY
    while day <= LAST_DAY:
        world.tick(f"{day}T06:30")
        _answers(world, day)
        world.tick(f"{day}T12:00")
        world.tick(f"{day}T18:30")
        day = add_days(day, 1)
    _calls_of_every_kind(world)
    ward_told(world)
    return world


def _answers(world: World, day: date) -> None:
    for last, said in SAID.get(day, []):
        world.gateway.answer(f"+2551000000{last:02d}", said)
    asked = {row.number: row for row in messages(world, "dose", "repeat", "digest")}
    for number, row in asked.items():
        codes = CODE.findall(row.body or "")
        if codes and int(number[-2:]) % 3 and row.evening == add_days(day, -1):
            world.gateway.answer(number, codes[0])


def _calls_of_every_kind(world: World) -> None:
    present = {row.kind for row in rows(world, CallTaskRow) if row.closed_at is None}
    home = rows(world, HouseholdRow)[1]
    with world.services.sessions.begin() as session:
        for kind in TaskKind:
            if kind not in present:
                task = Task(kind=kind, key=f"{home.id}:made", household_id=home.id)
                open_task(session, home.association_id, task, now=world.clock())
