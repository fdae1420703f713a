"""Texts that leave: when, how many, and what becomes of them when the network fails."""

from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from gateway_adapters.contract import Rejected, RejectKind, Scope
from gateway_adapters.events import ReceiptState
from gateway_adapters.fake_script import EndsAs, NoAnswer
from service.confirmations.crop_news import confirm_sown
from service.messages.lifecycle import State
from service.records.fields import DoseState
from service.records.traffic import TaskKind
from tests.world import PHONE, World, dose_days, enrol, tick_through
from tests.world_facts import another_plot, by_call
from tests.world_looks import calls, dose, dose_states, links, messages, sent_kinds, states

LETTERS = "ADGJMPTW"
HOURS = ("06:00", "18:00", "19:30")


def test_a_reminder_goes_at_six_on_the_evening_before(tmp_path: Path) -> None:
    """M1: tick 2027-03-27T17:59 -> 0; T18:00 -> 1, for the dose of 03-28."""
    world = World(folder=tmp_path)
    enrol(world)
    world.tick("2027-03-27T17:59")
    before = world.bodies()
    world.tick("2027-03-27T18:00")

    assert before == []
    assert len(world.bodies()) == 1
    assert "Sun 28 Mar: maize, plot A." in world.bodies()[0]
    world.close()


def test_a_reminder_that_cannot_leave_by_eight_expires_and_is_called_instead(
    tmp_path: Path,
) -> None:
    """M2: gateway down 18:00-21:00 -> expired; nothing at 21:00 nor at 06:00; "not told" stands."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.tick("2027-03-27T17:50")
    down = Rejected(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code="no-network")
    world.gateway.script = [down] * 100
    for at in ("18:00", "18:05", "18:20", "18:40", "19:00", "19:30", "19:59", "20:00", "20:30"):
        world.tick(f"2027-03-27T{at}")
    tried = len(world.gateway.submitted())
    world.gateway.script = []
    for at in ("27T21:00", "27T23:00", "28T05:59", "28T06:00", "28T12:00", "28T17:59", "28T19:00"):
        world.tick(f"2027-03-{at}")

    assert tried >= 7
    assert world.bodies() == []
    assert State.EXPIRED in states(world, "dose")
    assert [task.dose_id for task in calls(world, TaskKind.NOT_TOLD)] == [
        dose(world, enrolled, 2).id
    ]
    world.close()


def test_the_repeat_still_goes_when_the_reminder_expired(tmp_path: Path) -> None:
    """M2: a household that was not told is reminded two evenings later all the same."""
    world = World(folder=tmp_path)
    enrol(world)
    world.gateway.script = [Rejected(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE)] * 100
    tick_through(world, date(2027, 3, 27), date(2027, 3, 27), hours=("18:00", "19:00", "20:00"))
    world.gateway.script = []
    tick_through(world, date(2027, 3, 28), date(2027, 3, 29), hours=HOURS)

    assert sent_kinds(world) == ["repeat_rain"]
    world.close()


@pytest.mark.parametrize("state", [ReceiptState.FAILED, ReceiptState.EXPIRED])
def test_a_reminder_that_the_network_gave_up_is_called_instead(
    tmp_path: Path, state: ReceiptState
) -> None:
    """M2 M3: a receipt says that it never arrived -> "not told"; the repeat still goes."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.gateway.script = [EndsAs(state=state)]
    world.tick("2027-03-27T18:00")
    tick_through(world, date(2027, 3, 28), date(2027, 3, 29), hours=HOURS)

    assert [row.kind for row in messages(world) if row.state is State.DELIVERED] == ["repeat_rain"]
    assert [task.dose_id for task in calls(world, TaskKind.NOT_TOLD)] == [
        dose(world, enrolled, 2).id
    ]
    world.close()


def test_nothing_is_started_at_night_over_a_whole_season(tmp_path: Path) -> None:
    """M2: quiet 20:00-06:00: in 100 nights nothing starts and nothing queued leaks over."""
    world = World(folder=tmp_path)
    enrol(world)
    night = ("00:30", "05:59", "20:00", "22:00")
    tick_through(world, date(2027, 3, 10), date(2027, 4, 30), hours=night)
    asleep = world.bodies()
    tick_through(world, date(2027, 5, 1), date(2027, 5, 3), hours=(*HOURS, *night))

    assert asleep == []
    assert {text.at.astimezone(world.now.tzinfo).hour for text in world.gateway.texts()} == {18}
    world.close()


def test_silence_brings_one_repeat_and_then_a_call(tmp_path: Path) -> None:
    """M3: texts on D-1 and D+1, a call on D+2, and no third text before the next dose's own."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.text("A UP", at="2027-03-21T12:00")
    due_on = date(2027, 3, 28)
    seen: list[tuple[int, str]] = []
    calls_on = []
    for day in range(27, 32):
        for hour in ("05:59", "06:00", "18:00", "19:59"):
            before = len(world.bodies())
            world.tick(f"2027-03-{day}T{hour}")
            seen += [(day - due_on.day, hour) for _ in world.bodies()[before:]]
            if calls(world, TaskKind.SILENT):
                calls_on.append((day - due_on.day, hour))

    assert seen == [(-1, "18:00"), (1, "18:00")]
    assert sent_kinds(world) == ["r_up", "dose_rain", "repeat_rain"]
    assert calls_on[0] == (2, "06:00")
    assert [task.dose_id for task in calls(world, TaskKind.SILENT)] == [dose(world, enrolled, 2).id]
    world.close()


@pytest.mark.slow
@pytest.mark.long
def test_a_season_of_200_households_keeps_the_limits(tmp_path: Path) -> None:
    """M3: over a season of 200 households: at most 1 text a phone and day, at most 3 a dose.

    Every tenth phone is shared by two, sowing is spread over two weeks, and nobody answers.
    """
    world = World(folder=tmp_path)
    planted = []
    for number in range(200):
        shares = number % 20 == 19
        planted.append(
            enrol(
                world,
                code=f"H{number:03d}",
                number=f"+2551000010{number - shares:02d}"
                if number < 100
                else f"+2551000020{number - shares - 100:02d}",
                letter="D" if shares else "A",
                can=2 if shares else 1,
                crop=("maize-grain", "tomato", "sorghum", "kale")[number % 4],
                planted_on=date(2027, 3, 8 + number % 14),
            )
        )
    tick_through(world, date(2027, 3, 7), date(2027, 5, 25), hours=("18:00",))
    told = [row for row in messages(world) if row.body is not None]
    a_day = Counter((row.number, row.evening) for row in told)
    on_phones = Counter((text.to, text.at.date()) for text in world.gateway.texts())
    a_dose = Counter(row.dose_id for row in links(world, {row.id for row in told}))

    assert len({enrolled.household_id for enrolled in planted}) == 200
    assert len(told) > 200 * 10
    assert max(a_day.values()) == 1
    assert max(on_phones.values()) == 1
    assert 2 <= max(a_dose.values()) <= 3
    assert set(states(world)) <= {State.DELIVERED, State.CANCELLED, State.QUEUED}
    world.close()


def test_eight_doses_of_one_phone_are_one_text(tmp_path: Path) -> None:
    """M4: 8 doses (all letters), 1 phone -> 1 text of at most 2 segments with every key."""
    world = World(folder=tmp_path)
    first = enrol(world, letter="A", can_litres=2000)
    planted = [first, *(another_plot(world, first, letter=letter) for letter in LETTERS[1:])]
    world.tick("2027-04-03T18:00")
    (sent,) = world.gateway.texts()

    assert sent.to == PHONE
    assert sent.segments <= 2
    assert [letter for letter in LETTERS if f"{letter}3 " in sent.text] == list(LETTERS)
    assert calls(world, TaskKind.NO_ROOM) == []
    assert set(dose_states(world, planted, 3)) == {DoseState.PLANNED}
    world.close()


def test_what_a_digest_cannot_hold_is_first_on_the_call_list(tmp_path: Path) -> None:
    """M4: eight homes with long labels and amounts: 1 text of 2 segments, the rest are calls."""
    world = World(folder=tmp_path)
    planted = [
        enrol(
            world,
            code=f"HOME-{place:03d}",
            letter=letter,
            can=place + 1,
            area_m2=9999,
            can_litres=20_000,
            water_ratio=10,
        )
        for place, letter in enumerate(LETTERS)
    ]
    world.tick("2027-04-03T18:00")
    (sent,) = world.gateway.texts()
    left_out = [
        enrolled
        for enrolled, letter in zip(planted, LETTERS, strict=True)
        if f"{letter}3 " not in sent.text
    ]
    first_calls = calls(world)[: len(left_out)]

    assert sent.segments == 2
    assert 1 <= len(left_out) <= 7
    assert {task.kind for task in first_calls} == {TaskKind.NO_ROOM}
    assert {task.planting_id for task in first_calls} == {
        enrolled.planting_id for enrolled in left_out
    }
    world.close()


def test_an_answer_two_minutes_before_the_hour_cancels_the_text(tmp_path: Path) -> None:
    """M6: answer `A3` at 17:58 -> the 18:00 text is `cancelled`."""
    world = World(folder=tmp_path)
    enrol(world)
    world.tick("2027-04-03T17:50")
    queued = [row.id for row in messages(world, "dose") if row.state is State.QUEUED]
    world.text("A3", at="2027-04-03T17:58")
    world.tick("2027-04-03T18:00")

    assert len(queued) == 1
    assert [row.state for row in messages(world, "dose") if row.id in queued] == [State.CANCELLED]
    assert sent_kinds(world) == ["r_done"]
    world.close()


def test_a_text_of_an_older_revision_is_never_sent(tmp_path: Path) -> None:
    """M6: plan revision 2 -> the text of revision 1 is cancelled, and the new day is told."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.tick("2027-03-26T18:30")
    old = [(row.id, row.state) for row in messages(world, "dose")]
    world.text("A UP", at="2027-03-26T18:40")
    world.tick("2027-03-27T18:00")
    silent = sent_kinds(world)
    world.tick("2027-04-01T18:00")

    assert [state for _, state in old] == [State.QUEUED]
    assert dose(world, enrolled, 2).revision == 2
    assert dose_days(world, enrolled)[2] == date(2027, 4, 2)
    assert silent == ["emerge_q", "r_up"]
    assert [row.state for row in messages(world, "dose") if row.id == old[0][0]] == [
        State.CANCELLED
    ]
    assert world.bodies()[-1].startswith("Fri 2 Apr: maize, plot A.")
    world.close()


def test_the_last_look_stops_a_text_that_was_claimed_already(tmp_path: Path) -> None:
    """M6: a fact that comes between claim and send cancels the text all the same."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)

    def correct_the_sowing_day(point: str) -> None:
        if point == "after-claim" and dose_days(world, enrolled)[1] == date(2027, 3, 15):
            by_call(
                world,
                lambda desk: confirm_sown(desk, enrolled.planting_id, on=date(2027, 3, 14)),
            )

    world.mark = correct_the_sowing_day
    world.tick("2027-03-14T18:00")

    assert states(world, "dose") == [State.CANCELLED]
    assert world.gateway.submitted() == []
    world.close()


@pytest.mark.parametrize("delivered", [True, False])
def test_a_text_without_an_answer_is_left_to_a_person(tmp_path: Path, delivered: bool) -> None:  # noqa: FBT001 -- pytest passes parameters by name
    """M7: "no answer" -> `unknown` and a call; restart and tick 10 times -> still 1 submit."""
    world = World(folder=tmp_path)
    enrol(world)
    world.gateway.script = [NoAnswer(delivered=delivered)]
    world.tick("2027-03-14T18:00")
    first = states(world, "dose")
    world.close()
    again = World(folder=tmp_path)
    for minute in range(1, 11):
        again.tick(f"2027-03-14T18:{minute * 5:02d}")
    tick_through(again, date(2027, 3, 15), date(2027, 3, 15), hours=("06:00", "18:00", "19:00"))

    assert first == [State.UNKNOWN]
    assert len(again.gateway.submitted()) == 1
    assert states(again, "dose") == [State.UNKNOWN]
    assert len(calls(again, TaskKind.UNKNOWN)) == 1
    again.close()
