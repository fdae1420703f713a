"""Power cuts, a full disk, a locked database, a gateway that is down: late, and never twice."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from sqlalchemy import text as sql

from gateway_adapters.contract import RejectKind, Scope
from gateway_adapters.fake_script import Reject
from service.records.faults import STORE_FAULTS
from service.records.traffic import InboundRow, TaskKind
from tests.faults.holder import Holder, a_holder, wait_shortly
from tests.faults.ledger import compare
from tests.faults.nest import Step
from tests.faults.nest_keeper import Nest, a_nest
from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.world import OTHER_PHONE, PHONE, ZONE, World, enrol
from tests.world_looks import calls, rows

EVENING, LATER, LATER_YET = "2027-03-14T18:00", "2027-03-14T18:05", "2027-03-14T18:10"
ALL_SENT = (3, 0, 0, ())  # two reminders and an answer; none over, none in doubt, none wrong
DOUBTFUL = {  # (never handed to the network, handed to it); what the kill was in the middle of
    "before-claim": (0, 0),
    "after-claim": (3, 0),
    "before-submit": (3, 0),
    "after-submit": (0, 3),
    "after-settle": (0, 0),
    "after-receipt": (0, 0),
}


@pytest.fixture
def evening(tmp_path: Path) -> Iterator[World]:
    """Two homes with a dose tomorrow, their reminders queued; one phone has asked for help."""
    world = World(folder=tmp_path)
    world.now = world.now.fromisoformat("2027-03-14T12:00").replace(tzinfo=ZONE)
    enrol(world)
    enrol(world, code="H02", number=OTHER_PHONE)
    world.tick()
    world.gateway.answer(PHONE, "HELP")
    yield world
    world.close()


@pytest.fixture(scope="module")
def nest() -> Iterator[Nest]:
    """What does steps of the service in processes that may be killed."""
    with a_nest() as made:
        yield made


def step(world: World, at: str, *, crash: str = "") -> Step:
    return Step(
        url=world.services.settings.database_url,
        network=str(world.folder / "network"),
        association="test",
        at=f"{at}+03:00",
        crash=crash,
    )


def today(world: World) -> FlaskClient:
    return browser_of(office_of(world, Wall()), visit_token(world))


def ends(world: World) -> tuple[int, int, int, tuple[str, ...]]:
    return compare(world.services.sessions, world.gateway).ends()


@pytest.mark.slow
@pytest.mark.parametrize("point", DOUBTFUL)
def test_killed_at_a_point_and_started_again_it_loses_and_doubles_nothing(
    evening: World, nest: Nest, point: str
) -> None:
    """O3: kill -9 at each of six points; what was in its hand is unknown, and a person is told."""
    evening.leave()
    assert nest.killed(step(evening, EVENING, crash=f"{point}:1"))
    assert not nest.killed(step(evening, LATER))
    assert not nest.killed(step(evening, LATER_YET))
    found = compare(evening.services.sessions, evening.gateway)

    assert found.wrong == ()
    assert (found.doubt_before_submit, found.doubt_behind_submit) == DOUBTFUL[point]
    assert (found.sent + found.in_doubt, found.over) == (3, 0)
    assert len(calls(evening, TaskKind.UNKNOWN)) == found.in_doubt
    assert [row.text for row in rows(evening, InboundRow)] == ["HELP"]


def test_a_full_disk_holds_everything_up_and_loses_nothing(evening: World) -> None:
    """O3: while no step can be written down no text leaves; with room again each leaves once."""

    def rename(old: str, new: str) -> None:
        with evening.services.sessions.begin() as session:
            session.execute(sql(f"ALTER TABLE {old} RENAME TO {new}"))

    rename("message_event", "away")
    for at in (EVENING, LATER):
        with pytest.raises(STORE_FAULTS):
            evening.tick(at)
    meanwhile = evening.gateway.submitted()
    rename("away", "message_event")
    evening.tick(LATER_YET)

    assert meanwhile == []
    assert ends(evening) == ALL_SENT


def test_a_gateway_that_is_down_gets_every_text_once_when_it_is_back(evening: World) -> None:
    """O3: refused for the route's sake, all wait; none is given up, none is sent twice."""
    down = Reject(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code="down")
    evening.gateway.script = [down] * 3
    evening.tick(EVENING)
    meanwhile = evening.gateway.texts()
    evening.tick(LATER)

    assert meanwhile == []
    assert ends(evening) == ALL_SENT


@pytest.fixture
def holder(evening: World) -> Iterator[Holder]:
    """Another process, which can hold the database's lock."""
    with a_holder(evening.services.settings.database_url) as made:
        yield made


@pytest.mark.slow
def test_a_locked_database_holds_everything_up_and_loses_nothing(
    evening: World, holder: Holder
) -> None:
    """O3: locked for longer than anybody waits, before the claim; then each text leaves once."""
    wait_shortly(evening.services.sessions.engine)
    holder.hold()
    with pytest.raises(STORE_FAULTS):
        evening.tick(EVENING)
    meanwhile = evening.gateway.submitted()
    holder.let_go()
    evening.tick(LATER)

    assert meanwhile == []
    assert ends(evening) == ALL_SENT
