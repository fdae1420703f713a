"""The clock is watched: what is held while it is in doubt, what ends a doubt, and who is told."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from gateway_adapters.fake_script import LateReceipt
from service.bootstrap import Services
from service.config import Profile
from service.dispatch.clock_watch import ClockWatch
from service.dispatch.doubt import Confirmation
from service.jobs import watched
from service.outbox.clock_judge import Turn
from service.records.clock_watch import ClockWatchRow, Sayer
from service.records.people import AuditRow
from service.records.traffic import MessageEventRow
from tests.web.route_office import set_route
from tests.world import ZONE, World, enrol
from tests.world_looks import rows, states

NOON = "2027-03-14T12:00"
SAYER = Sayer(who="Juma Test", association=1)


@pytest.fixture
def home(world: World) -> World:
    """A home with a reminder in the evening of 14 March; noon, and the clock is watched."""
    enrol(world)
    world.services = watched(world.services)
    step_through(world, "2027-02-21T09:00", NOON)
    return world


def step_through(world: World, first: str, last: str) -> None:
    """Run a step each day of a span, as a service does that is never off for a day."""
    at, end = moment(first), moment(last)
    while at < end:
        world.now = at
        world.services.step()
        at += timedelta(hours=24)
    world.tick(last)


def moment(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=ZONE)


def watch_of(services: Services) -> ClockWatch:
    assert services.watch is not None
    return services.watch


def other_process(world: World, clock: Callable[[], datetime]) -> ClockWatch:
    """Return the watch of another process on the same database, by its machine's clock."""
    return ClockWatch(world.services.sessions, clock)


def trusted(world: World) -> datetime:
    (row,) = rows(world, ClockWatchRow)
    return row.trusted_at


def told(world: World) -> list[str]:
    return [row.what for row in rows(world, AuditRow) if row.subject == "clock"]


def confirmed(world: World, shown_at: datetime) -> Confirmation:
    with world.services.sessions.begin() as session:
        answer = watch_of(world.services).confirm(session, shown_at, sayer=SAYER)
    world.services.step()
    return answer


def test_the_demo_is_not_watched(world: World) -> None:
    settings = replace(world.services.settings, profile=Profile.DEMO)

    assert watched(replace(world.services, settings=settings)).watch is None


def test_services_that_name_their_time_are_not_held(world: World) -> None:
    """As for `tick --at` and the simulations: nobody watches, whatever was trusted last."""
    enrol(world)
    watched(world.services)
    world.tick("2027-03-14T18:00")

    assert len(world.bodies()) == 1


def test_the_trusted_instant_is_kept_each_half_minute(home: World) -> None:
    seen = []
    for late in (10, 29, 30, 45, 60):
        home.now = moment(NOON) + timedelta(seconds=late)
        home.services.step()
        seen.append((trusted(home) - moment(NOON)).total_seconds())

    assert seen == [0, 0, 30, 30, 60]


def test_a_day_of_ordinary_ticks_is_never_in_doubt(home: World) -> None:
    home.tick("2027-03-15T14:00")  # 26 hours later

    assert watch_of(home.services).doubt() is None
    assert told(home) == []


def test_a_clock_a_little_behind_goes_on_in_its_own_time(home: World) -> None:
    home.now = moment(NOON) - timedelta(minutes=5)
    home.services.step()

    assert watch_of(home.services).doubt() is None
    assert home.services.clock() == home.clock()
    assert trusted(home) == moment(NOON)


@pytest.mark.parametrize(
    ("moved", "turn"),
    [
        pytest.param(timedelta(days=30), Turn.AHEAD, id="ahead"),
        pytest.param(timedelta(minutes=-6), Turn.BACK, id="back"),
    ],
)
def test_in_doubt_the_time_of_the_service_stands_still(
    home: World, moved: timedelta, turn: Turn
) -> None:
    """Between two looks as well: a step that is under way never goes on in a wrong time."""
    home.now = moment(NOON) + moved

    for _ in ("before a look", "after it"):
        doubt = watch_of(home.services).doubt()
        assert doubt is not None
        assert (doubt.turn, doubt.trusted_at) == (turn, moment(NOON))
        assert doubt.shown_at == moment(NOON) + moved
        assert home.services.clock() == moment(NOON)
        home.services.step()


def test_what_was_due_before_the_clock_moved_is_held_as_well(home: World) -> None:
    """A reminder waits for a stopped route, the clock goes back, the route is let go on."""
    set_route(home, stopped_at=moment(NOON), stopped_by="Juma Test")
    home.tick("2027-03-14T18:00")
    home.tick("2027-03-14T17:30")
    set_route(home, stopped_at=None, stopped_by=None)
    home.tick("2027-03-14T17:31")
    held = home.bodies()
    home.tick("2027-03-14T18:30")

    assert (held, len(home.bodies())) == ([], 1)


def test_a_doubt_is_written_down_once_with_both_instants(home: World) -> None:
    for day in (13, 14, 15):
        home.tick(f"2027-04-{day}T18:00")

    (row,) = [row for row in rows(home, AuditRow) if row.subject == "clock"]
    assert (row.what, row.who, row.at) == ("clock doubted", "", moment(NOON))
    assert row.detail == {
        "trusted_at": "2027-03-14T09:00:00+00:00",
        "shown_at": "2027-04-13T15:00:00+00:00",
    }


def test_a_clock_that_is_set_right_goes_on_by_itself_and_that_is_written_down(home: World) -> None:
    home.tick("2027-04-13T18:00")
    held = home.bodies()
    home.tick("2027-03-14T18:00")

    assert (held, len(home.bodies())) == ([], 1)
    assert told(home) == ["clock doubted", "clock right again"]
    assert [row.at for row in rows(home, AuditRow) if row.what == "clock right again"] == [
        moment("2027-03-14T18:00")
    ]


def test_a_clock_that_went_back_is_not_right_for_running_on(home: World) -> None:
    """Set back by three hours and left so: three hours later it is as wrong as before."""
    home.tick("2027-03-14T09:00")
    for minute in range(0, 200, 4):
        home.now = moment("2027-03-14T09:00") + timedelta(minutes=minute)
        home.services.step()
    ran_on = watch_of(home.services).doubt()
    home.tick("2027-03-14T15:30")

    assert ran_on is not None
    assert ran_on.turn is Turn.BACK
    assert watch_of(home.services).doubt() is None
    assert told(home) == ["clock doubted", "clock right again"]


def test_a_person_ends_the_doubt_of_a_clock_that_went_back(home: World) -> None:
    """The clock had been wrong until now: the kept instant goes down with the yes."""
    home.tick("2027-03-14T09:00")
    answer = confirmed(home, home.clock())

    assert answer is Confirmation.TRUSTED
    assert trusted(home) == moment("2027-03-14T09:00")
    assert watch_of(home.services).doubt() is None
    assert told(home) == ["clock doubted", "clock confirmed"]


@pytest.mark.parametrize(
    "shown",
    [
        pytest.param("2027-04-13T18:06", id="later than the clock shows now"),
        pytest.param("2027-04-12T15:59", id="more than 26 hours before"),
    ],
)
def test_a_yes_to_another_time_is_not_taken(home: World, shown: str) -> None:
    home.tick("2027-04-13T18:00")

    assert confirmed(home, moment(shown)) is Confirmation.MOVED
    assert watch_of(home.services).doubt() is not None
    assert told(home) == ["clock doubted"]


def test_a_yes_to_a_clock_that_nobody_doubts_changes_nothing(home: World) -> None:
    assert confirmed(home, home.clock()) is Confirmation.NOT_NEEDED
    assert told(home) == []


def test_a_service_that_was_off_for_a_week_asks_as_well(home: World) -> None:
    home.now = moment("2027-03-21T12:00")
    started = other_process(home, home.clock)

    doubt = started.doubt()
    assert doubt is not None
    assert (doubt.turn, doubt.trusted_at) == (Turn.AHEAD, moment(NOON))


def test_a_service_that_starts_with_a_clock_set_right_ends_the_doubt(home: World) -> None:
    home.tick("2027-04-13T18:00")
    home.now = moment("2027-03-14T13:00")
    started = other_process(home, home.clock)

    assert started.doubt() is None
    assert told(home) == ["clock doubted", "clock right again"]


def test_two_processes_a_little_apart_leave_each_other_alone(home: World) -> None:
    """Four minutes apart, for an hour: neither doubts, and the kept instant only rises."""
    slow = other_process(home, lambda: home.clock() - timedelta(minutes=4))
    seen = []
    for late in range(60):
        home.now = moment(NOON) + timedelta(minutes=late)
        for watch in (watch_of(home.services), slow):
            assert watch.look() is None
            seen.append(trusted(home))

    assert seen == sorted(seen)
    assert told(home) == []


def test_a_process_with_a_wrong_clock_holds_itself_alone(home: World) -> None:
    """Its doubt is written down once, and neither shakes nor is ended by the other."""
    ahead = [timedelta(days=30)]
    wrong = other_process(home, lambda: home.clock() + ahead[0])
    for late in range(10):
        home.now = moment("2027-03-14T18:00") + timedelta(minutes=late)
        home.services.step()
        assert wrong.look() is not None
    ahead[0] = timedelta(0)

    assert wrong.look() is None
    assert len(home.bodies()) == 1
    assert told(home) == ["clock doubted", "clock right again"]


def test_a_yes_in_one_process_counts_in_the_other(home: World) -> None:
    home.now = moment("2027-04-13T18:00")
    other = other_process(home, home.clock)
    home.services.step()
    confirmed(home, home.clock())

    assert (other.look(), watch_of(home.services).doubt()) == (None, None)
    assert told(home) == ["clock doubted", "clock confirmed"]


def test_receipts_are_taken_and_dated_by_the_last_trusted_instant(home: World) -> None:
    home.gateway.script.append(LateReceipt(due_at=moment("2027-03-14T19:00")))
    home.tick("2027-03-14T18:00")
    before = states(home, "dose")
    home.tick("2027-04-13T18:00")

    assert (before, states(home, "dose")) == (["submitted"], ["delivered"])
    assert rows(home, MessageEventRow)[-1].at == datetime(2027, 3, 14, 15, tzinfo=UTC)
