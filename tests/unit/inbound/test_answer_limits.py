"""Answers go at once and within limits; a phone that texts like a machine gets none for a day.

Five answers a day, one help a day, mute after more than five texts in ten minutes or three equal
ones in an hour, one answer to a stranger in 30 days: the design's settled point 8.
"""

from datetime import UTC, datetime

import pytest

from service.inbound.limits import is_muted
from service.records.people import PhoneRow
from service.records.phones import PhoneBundle
from service.records.requests import close_request
from service.records.traffic import InboundRow, TaskKind
from tests.world import OTHER_PHONE, PHONE, World, enrol
from tests.world_facts import by_call
from tests.world_looks import calls, messages, rows, to_read

STRANGER = "+255100000077"
NOW = datetime(2027, 3, 15, 9, 0, tzinfo=UTC)


def kinds(world: World, number: str = PHONE) -> list[str]:
    return [row.kind for row in messages(world) if row.evening is None and row.number == number]


def muted(world: World) -> bool:
    return any(row.muted_until is not None for row in rows(world, PhoneRow))


def test_an_answer_goes_at_night_too(world: World) -> None:
    enrol(world)

    world.text("help", at="2027-03-15T02:00")

    (row,) = messages(world, "help")
    assert (row.state, row.evening, row.due_at) == ("delivered", None, world.clock())


@pytest.mark.parametrize(
    ("at", "count"), [("2027-03-16T11:59", 1), ("2027-03-16T12:01", 2)], ids=["within", "after"]
)
def test_help_is_sent_once_in_a_day(world: World, at: str, count: int) -> None:
    enrol(world)
    world.text("help", at="2027-03-15T12:00")

    world.text("help", at=at)

    assert kinds(world) == ["help"] * count


def test_a_person_will_read_it_is_said_once_in_a_day_and_all_are_kept(world: World) -> None:
    enrol(world)
    for minute, text in enumerate(("one cow", "two goats", "many hens")):
        world.text(text, at=f"2027-03-15T12:{minute * 15:02}")

    assert kinds(world) == ["unread"]
    assert len(to_read(world)) == 3


def test_five_answers_a_day_and_the_next_from_local_midnight(world: World) -> None:
    enrol(world)
    for hour in range(8, 15):
        world.text("why A", at=f"2027-03-15T{hour:02}:00")
    by_night = len(kinds(world))

    world.text("why A", at="2027-03-15T23:59")
    before_midnight = len(kinds(world))
    world.text("why A", at="2027-03-16T00:10")

    assert (by_night, before_midnight, len(kinds(world))) == (5, 5, 6)


def test_what_is_reported_beyond_the_limit_is_recorded_all_the_same(world: World) -> None:
    enrol(world)
    world.tick("2027-03-15T07:00")
    for hour in range(8, 13):
        world.text("why A", at=f"2027-03-15T{hour:02}:00")

    world.text("A1", at="2027-03-15T14:00")
    world.text("STOP", at="2027-03-15T15:00")

    assert kinds(world) == ["r_why_planting"] * 5 + ["stop_ok"]


def test_more_than_five_texts_in_ten_minutes_mute_a_phone(world: World) -> None:
    enrol(world)
    for minute in range(5):
        world.text(f"why A {'!' * minute}", at=f"2027-03-15T12:0{minute}")
    before = muted(world)

    world.text("help", at="2027-03-15T12:09")
    world.text("help", at="2027-03-15T12:30")

    assert (before, muted(world)) == (False, True)
    assert "help" not in kinds(world)
    assert len(calls(world, TaskKind.LOOP)) == 1


def test_five_texts_in_ten_minutes_mute_nobody(world: World) -> None:
    enrol(world)
    for minute in (0, 3, 6, 9, 12, 15):
        world.text(f"why A {'!' * minute}", at=f"2027-03-15T12:{minute:02}")

    assert (muted(world), calls(world, TaskKind.LOOP)) == (False, [])


def test_three_equal_texts_in_an_hour_mute_a_phone_for_a_day(world: World) -> None:
    enrol(world)
    for minute in (0, 25, 50):
        world.text("service message 77", at=f"2027-03-15T12:{minute:02}")
    while_muted = len(kinds(world))
    world.text("help", at="2027-03-16T12:49")
    still = len(kinds(world))

    world.text("help", at="2027-03-16T13:00")

    assert (while_muted, still, kinds(world)) == (1, 1, ["unread", "help"])


def test_three_equal_texts_over_more_than_an_hour_are_a_person(world: World) -> None:
    enrol(world)
    for minute in ("12:00", "12:40", "13:20"):
        world.text("service message 77", at=f"2027-03-15T{minute}")

    assert muted(world) is False


def test_a_muted_phone_is_still_heard(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-15T07:00")
    for minute in (0, 20, 40):
        world.text("service message 77", at=f"2027-03-15T12:{minute:02}")

    world.text("A1", at="2027-03-15T13:00")
    world.text("STOP", at="2027-03-15T13:01")

    assert kinds(world) == ["unread", "stop_ok"]
    assert enrolled.phone_id == 1
    assert {row.meaning for row in _inbound(world)} == {"needs-reading", "done", "stop"}


def test_one_phones_loop_is_not_anothers(world: World) -> None:
    enrol(world)
    enrol(world, code="H02", number=OTHER_PHONE, letter="D")
    for minute in (0, 20, 40):
        world.text("service message 77", at=f"2027-03-15T12:{minute:02}")

    world.text("help", number=OTHER_PHONE, at="2027-03-15T12:41")

    assert kinds(world, OTHER_PHONE) == ["help"]


@pytest.mark.parametrize(
    ("until", "silent"),
    [
        (None, False),
        (datetime(2027, 3, 15, 9, 0, tzinfo=UTC), False),
        (datetime(2027, 3, 15, 9, 1, tzinfo=UTC), True),
    ],
    ids=["never", "until now", "a minute more"],
)
def test_a_mute_ends_at_its_instant(until: datetime | None, *, silent: bool) -> None:
    phone = PhoneBundle(phone=PhoneRow(muted_until=until), households=(), consents=())

    assert is_muted(phone, now=NOW) is silent


def test_a_stranger_gets_one_answer_in_thirty_days(world: World) -> None:
    enrol(world)
    world.text("JOIN", number=STRANGER, at="2027-03-15T12:00")
    world.text("JOIN", number=STRANGER, at="2027-03-15T13:00")

    assert kinds(world, STRANGER) == ["join_ok"]
    assert len(calls(world, TaskKind.ENROL)) == 1


def test_a_stranger_whose_wish_was_settled_may_ask_again_after_thirty_days(world: World) -> None:
    enrol(world)
    world.text("JOIN", number=STRANGER, at="2027-03-15T12:00")
    (task,) = calls(world, TaskKind.ENROL)
    by_call(world, lambda desk: close_request(desk.session, 1, task.id, who="x", now=desk.now))

    world.text("JOIN", number=STRANGER, at="2027-04-13T12:00")
    early = len(calls(world, TaskKind.ENROL))
    world.text("JOIN", number=STRANGER, at="2027-04-15T12:00")

    assert early == 0
    assert len(calls(world, TaskKind.ENROL)) == 1
    assert kinds(world, STRANGER) == ["join_ok", "join_ok"]


def _inbound(world: World) -> list[InboundRow]:
    return rows(world, InboundRow)
