"""A machine's clock that jumps: nothing leaves and nothing lapses until it is known to be right."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from service.jobs import watched
from service.messages.lifecycle import State
from service.records.clock_watch import clock_watch, first_trust
from tests.fresh import fresh_database
from tests.unit.cli.test_commands import Place, refused
from tests.web.neighbours import dump_of
from tests.web.reading import buttons_of, post, text_of
from tests.web.route_office import administrator
from tests.web.staff import SECRET_KEY, Wall, browser_of, office_of, visit_token
from tests.world import World, enrol
from tests.world_looks import states

QUESTION, YES = "Is this the right date and time?", "Yes, this is right"
LIMIT_S = 60
YEARS_ON = datetime(2099, 1, 1, 12, 0, tzinfo=UTC)
NEXT_MONTH = "2027-04-13T18:00"


@pytest.fixture
def running(world: World) -> World:
    """The service as `serve` runs it, at noon before a home's first dose; a reminder waits."""
    enrol(world)
    world.services = watched(world.services)
    for day in range(21, 29):
        world.tick(f"2027-02-{day:02d}T09:00")
    for day in range(1, 14):
        world.tick(f"2027-03-{day:02d}T09:00")
    world.tick("2027-03-14T09:00")
    world.tick("2027-03-14T12:00")
    return world


def coordinator(world: World) -> FlaskClient:
    return browser_of(office_of(world, Wall()), visit_token(world))


def test_a_clock_a_month_ahead_sends_nothing_and_lets_nothing_lapse(running: World) -> None:
    """O4: +30 days: 0 texts leave, no text, dose or call changes, and Today asks."""
    before = dump_of(running, 1)
    for minute in range(5):
        running.tick(f"2027-04-13T18:{minute:02d}")
    after = dump_of(running, 1)
    shown = text_of(administrator(running).get("/").text)

    assert running.bodies() == []
    assert states(running, "dose") == [State.QUEUED]
    assert {table for table in before if before[table] != after[table]} == {"audit"}
    assert f"{QUESTION} Tuesday 13 April 2027, 18:04" in shown


def test_an_administrators_yes_goes_on(running: World) -> None:
    """O4: the date was right: the old reminder has lapsed, and the next one leaves in its hour."""
    running.tick(NEXT_MONTH)
    admin = administrator(running)
    post(admin, "/clock", "/")
    running.tick("2027-04-13T18:01")
    shown = text_of(admin.get("/").text)
    missed, before = states(running, "dose"), running.bodies()
    for day in (14, 15, 16, 17):
        running.tick(f"2027-04-{day}T06:00")
    running.tick("2027-04-17T18:00")

    assert QUESTION not in shown
    assert (missed, before) == ([State.EXPIRED], [])
    assert len(running.bodies()) == 1


def test_a_coordinator_sees_the_question_and_cannot_answer_it(running: World) -> None:
    """O4: only an administrator may; the coordinator is told so."""
    running.tick(NEXT_MONTH)
    shown = coordinator(running).get("/").text

    assert QUESTION in text_of(shown)
    assert "Only an administrator can say that it is right." in text_of(shown)
    assert YES not in buttons_of(shown)


def test_a_clock_that_is_set_right_again_goes_on_with_nobody(running: World) -> None:
    """O4: an hour at +30 days, then the true time: the evening's text leaves in its hour."""
    doses = dump_of(running, 1)["dose"]
    running.tick(NEXT_MONTH)
    running.tick("2027-04-13T19:00")
    during = dump_of(running, 1)["dose"]
    running.tick("2027-03-14T18:00")

    assert during == doses
    assert len(running.bodies()) == 1
    assert QUESTION not in text_of(coordinator(running).get("/").text)


@pytest.mark.parametrize(
    ("at", "asked"),
    [
        pytest.param("2027-03-14T11:55", False, id="by five minutes"),
        pytest.param("2027-03-14T11:54", True, id="by six"),
    ],
)
def test_a_clock_set_back(running: World, at: str, *, asked: bool) -> None:
    """O4: a step back of more than five minutes asks as well."""
    running.tick(at)

    assert (QUESTION in text_of(administrator(running).get("/").text)) is asked


def test_a_service_that_was_off_for_a_week_asks_since_when(running: World) -> None:
    """O4: started again after a week, it names the last instant at which it ran."""
    running.now = datetime(2027, 3, 21, 9, 0, tzinfo=UTC)
    running.services = watched(replace(running.services, clock=running.clock))
    running.services.step()

    assert running.bodies() == []
    assert "The service has not run since Sunday 14 March 2027, 12:00" in text_of(
        administrator(running).get("/").text
    )


def test_what_a_grower_sends_meanwhile_counts_once_the_clock_is_right(running: World) -> None:
    """O4: a STOP in doubt is kept; the clock is set right, and no reminder leaves after it."""
    running.text("STOP", at=NEXT_MONTH)
    meanwhile = running.bodies()
    running.tick("2027-03-14T18:00")

    assert meanwhile == []
    assert states(running, "dose") == [State.CANCELLED]
    assert len(running.bodies()) == 1


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    """A place whose service once ran in the year 2099, by a clock that was wrong."""
    made = Place(tmp_path)
    fresh_database(tmp_path)
    sessions = made.sessions()
    with sessions.begin() as session:
        first_trust(session, YEARS_ON)
    yield made
    sessions.engine.dispose()


def test_a_single_step_by_command_is_held_too(place: Place) -> None:
    """O4: `furrowbell tick` refuses; at a given instant it goes on, for the instant is named."""
    held = place.run("tick")
    named = place.run("tick", "--at", "2027-03-14T18:00+03:00")

    assert "Nothing was sent: the date and time of this machine are in doubt." in refused(held)
    assert (named.exit_code, named.output) == (0, "")


def test_the_running_service_watches_its_clock(place: Place) -> None:
    """O4: `furrowbell serve` notes the doubt, as a process of its own."""
    environment = os.environ | place.environment | {"FURROWBELL_SECRET_KEY": SECRET_KEY}
    command = [sys.executable, "-m", "service.cli.main", "serve", "--port", "0"]
    with subprocess.Popen(  # noqa: S603 -- the project's own command
        command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as serving:
        assert serving.stdout is not None
        line = serving.stdout.readline()
        serving.send_signal(signal.SIGTERM)
        _, said = serving.communicate(timeout=LIMIT_S)
    sessions = place.sessions()
    with sessions.read() as session:
        row = clock_watch(session)
    sessions.engine.dispose()

    assert line.startswith("The pages are at ")
    assert serving.returncode == 0, said
    assert row is not None
    assert row.trusted_at == YEARS_ON
    assert row.doubted_at is not None
