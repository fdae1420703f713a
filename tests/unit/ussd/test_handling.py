"""A step of a session is taken once, answered by a screen, and acted on like a text."""

from datetime import date, timedelta

import pytest

from gateway_adapters.events import Screen, UssdBegin, UssdEnd, UssdEndReason, UssdEvent, UssdInput
from service.inbound.keeping import Route
from service.records.fields import DoseState, FactKind, HoldRow, Source
from service.records.people import Consent, ConsentEventRow
from service.records.traffic import InboundRow, TaskKind
from service.records.ussd import UssdSessionRow
from service.ussd.handler import Menu, handle_step
from tests.unit.ussd.menus import menu_texts
from tests.world import OTHER_PHONE, PERSON, PHONE, Enrolled, World, enrol
from tests.world_looks import calls, dose, facts, messages, rows, to_read

STRANGER = "+255100000077"
MINUTE = timedelta(minutes=1)


class Handset:
    """Events of one phone, each with an id of its own, taken as a gateway would give them."""

    def __init__(self, world: World, *, phone: str = PHONE, most: int = 160) -> None:
        self.world, self.phone, self.most = world, phone, most
        self.session = ""
        self.count = 0

    def take(self, event: UssdEvent) -> Screen | None:
        """Take an event as a gateway gave it."""
        lane = self.world.services.lane()
        assert lane is not None
        menu = Menu(
            route=Route(association_id=lane.association_id, route_id=lane.route_id),
            texts=menu_texts(),
            catalogue=self.world.services.catalogue,
            most=self.most,
        )
        with self.world.services.sessions.begin() as session:
            return handle_step(session, menu, event, now=self.world.clock())

    def _next(self) -> str:
        self.count += 1
        return f"{self.phone}-{self.count}"

    def dial(self, text: str = "", *, session: str | None = None) -> Screen:
        """Begin a session, with `text` dialled behind the code."""
        event_id = self._next()
        self.session = event_id if session is None else session
        shown = self.take(
            UssdBegin(
                event_id=event_id, session=self.session, phone=self.phone, code="*150#", text=text
            )
        )
        assert shown is not None
        return shown

    def input(self, text: str) -> UssdInput:
        """Return an input of the session, not taken yet."""
        return UssdInput(event_id=self._next(), session=self.session, phone=self.phone, text=text)

    def press(self, *inputs: str) -> Screen:
        """Take inputs one after the other; return the last screen."""
        shown = [self.take(self.input(text)) for text in inputs]
        assert shown[-1] is not None
        return shown[-1]

    def end(self, reason: UssdEndReason = UssdEndReason.NETWORK) -> None:
        """End the session from outside."""
        event = UssdEnd(
            event_id=self._next(), session=self.session, phone=self.phone, reason=reason
        )
        assert self.take(event) is None


def planted(world: World, at: str = "2027-03-15T12:00") -> Enrolled:
    enrolled = enrol(world)
    world.tick("2027-03-15T09:00")
    world.tick(at)
    return enrolled


def answers(world: World, number: str = PHONE) -> list[str]:
    """Return the kinds of the answers to a number, in order."""
    return [row.kind for row in messages(world) if row.evening is None and row.number == number]


def test_a_confirmed_dose_is_a_fact_told_by_menu_and_answered_by_text(world: World) -> None:
    enrolled = planted(world)
    handset = Handset(world)
    handset.dial()

    last = handset.press("1", "1", "1", "1", "1")

    (given,) = facts(world, enrolled, FactKind.APPLIED)
    assert (given.on, given.source) == (date(2027, 3, 15), Source.MENU)
    assert dose(world, enrolled, 1).state is DoseState.DONE
    assert answers(world) == ["r_done"]
    world.tick()
    assert last.finish
    assert last.text == world.bodies()[-1]
    (kept,) = rows(world, InboundRow)
    assert (kept.text, kept.meaning, kept.hint, kept.by_menu) == ("A1", "done", "A1-0", True)


def test_nothing_is_a_fact_before_its_question_is_answered(world: World) -> None:
    enrolled = planted(world)
    handset = Handset(world)
    handset.dial()

    question = handset.press("1", "1", "1", "1")

    assert question.text.startswith("A1 done on Mon 15 Mar?")
    assert facts(world, enrolled) == []
    assert rows(world, InboundRow) == []


def test_an_event_that_comes_again_gets_the_same_screen_and_acts_once(world: World) -> None:
    enrolled = planted(world)
    handset = Handset(world)
    handset.dial()
    handset.press("1", "1", "1", "1")
    yes = handset.input("1")

    first, second = handset.take(yes), handset.take(yes)

    assert first == second
    assert len(facts(world, enrolled, FactKind.APPLIED)) == 1
    assert answers(world) == ["r_done"]


def test_an_older_event_that_comes_again_moves_nothing(world: World) -> None:
    planted(world)
    handset = Handset(world)
    handset.dial()
    first = handset.input("1")
    shown = handset.take(first)
    handset.press("1")
    state = rows(world, UssdSessionRow)[0].state

    assert handset.take(first) == shown
    assert rows(world, UssdSessionRow)[0].state == state


def test_what_is_typed_after_the_end_acts_no_more(world: World) -> None:
    enrolled = planted(world)
    handset = Handset(world)
    handset.dial()
    last = handset.press("1", "1", "1", "1", "1")

    assert handset.press("1") == last
    assert len(facts(world, enrolled, FactKind.APPLIED)) == 1


def test_the_same_report_in_a_second_session_counts_once(world: World) -> None:
    planted(world)
    handset = Handset(world)
    for _ in range(2):
        handset.dial()
        handset.press("1", "1", "4", "1")

    assert len(rows(world, HoldRow)) == 1
    assert answers(world) == ["r_rain", "r_rain"]


@pytest.mark.parametrize(
    ("minutes", "offered"),
    [
        pytest.param(3, True, id="3 minutes later"),
        pytest.param(5, False, id="5 minutes later"),
    ],
)
def test_a_dropped_session_can_be_gone_on_with_for_five_minutes(
    minutes: int, *, offered: bool, world: World
) -> None:
    planted(world)
    handset = Handset(world)
    handset.dial()
    seen = handset.press("1", "1")
    handset.end()
    world.now += minutes * MINUTE

    again = handset.dial()

    assert again.text.startswith("You had not finished.") is offered
    assert (handset.press("1") == seen) is offered


def test_a_line_that_drops_without_a_word_can_be_gone_on_with(world: World) -> None:
    planted(world)
    handset = Handset(world)
    handset.dial()
    seen = handset.press("1", "1")
    world.now += 4 * MINUTE

    handset.dial()

    assert handset.press("1") == seen


def test_a_session_is_offered_once(world: World) -> None:
    planted(world)
    handset = Handset(world)
    handset.dial()
    handset.press("1", "1")
    handset.end()
    handset.dial()
    handset.press("0", "9")

    assert handset.dial().text.startswith("Test Growers")


def test_a_finished_session_is_not_gone_on_with(world: World) -> None:
    planted(world)
    handset = Handset(world)
    handset.dial()
    handset.press("1", "1", "9")
    handset.end(UssdEndReason.USER)

    assert handset.dial().text.startswith("Test Growers")


def test_a_dialled_path_is_walked_and_asks_for_the_yes(world: World) -> None:
    enrolled = planted(world)
    handset = Handset(world)

    asked = handset.dial("*150*1*1*1*1*1#")

    assert asked.text.startswith("A1 done on Mon 15 Mar?")
    assert facts(world, enrolled) == []
    handset.press("1")
    assert len(facts(world, enrolled, FactKind.APPLIED)) == 1


def test_an_input_after_a_long_silence_starts_anew(world: World) -> None:
    enrolled = planted(world)
    handset = Handset(world)
    handset.dial()
    handset.press("1", "1", "1", "1")
    world.now += 6 * MINUTE

    assert handset.press("1").text.startswith("Test Growers")
    assert facts(world, enrolled) == []


def test_an_input_of_a_session_that_nobody_knows_starts_one(world: World) -> None:
    planted(world)
    handset = Handset(world)
    handset.session = "lost"

    assert handset.press("1").text.startswith("Test Growers")


def test_a_session_key_that_comes_to_another_phone_shows_it_nothing(world: World) -> None:
    planted(world)
    enrol(world, code="H02", number=OTHER_PHONE, letter="D", can=2)
    first, second = Handset(world), Handset(world, phone=OTHER_PHONE)
    first.dial(session="again")
    first.press("1", "1")
    second.session = "again"

    assert second.press("1").text.startswith("Test Growers")
    assert "Plot A" not in second.press("1").text


def test_old_sessions_are_forgotten(world: World) -> None:
    planted(world)
    handset = Handset(world)
    handset.dial()
    handset.press("9")
    world.now += timedelta(days=1, minutes=6)

    handset.dial()

    assert [row.session for row in rows(world, UssdSessionRow)] == [handset.session]


def test_very_long_keys_are_kept_apart(world: World) -> None:
    planted(world)
    handset = Handset(world)
    handset.dial(session="s" * 300)
    handset.press("1")
    other = Handset(world, phone=OTHER_PHONE)

    other.dial(session="s" * 301)

    assert len(rows(world, UssdSessionRow)) == 2
    assert handset.press("0").text.startswith("Test Growers")


def test_a_stranger_joins_once_and_is_told_what_a_text_would_be(world: World) -> None:
    planted(world)
    handset = Handset(world, phone=STRANGER)
    handset.dial()

    last = handset.press("1", "1")
    handset.dial()
    again = handset.press("1", "1")

    assert last.text.startswith("Thank you. Test Growers has your wish to join.")
    assert again == last
    assert answers(world, STRANGER) == ["join_ok"]
    assert len(calls(world, TaskKind.ENROL)) == 1


@pytest.mark.parametrize(
    ("inputs", "words", "kept"),
    [
        pytest.param(("3",), f"call {PERSON}", 0, id="help"),
        pytest.param(("2", "1"), "sends no texts to this number", 1, id="stop"),
    ],
)
def test_a_stranger_is_answered_on_the_screen_alone(
    inputs: tuple[str, ...], words: str, kept: int, world: World
) -> None:
    planted(world)
    handset = Handset(world, phone=STRANGER)
    handset.dial()

    last = handset.press(*inputs)

    assert words in last.text
    assert last.finish
    assert len(rows(world, InboundRow)) == kept
    assert to_read(world) == []
    assert answers(world, STRANGER) == []


def test_a_phone_without_its_yes_may_only_start_stop_and_ask(world: World) -> None:
    enrol(world, consent=Consent.VERBAL)
    world.tick("2027-03-15T09:00")
    handset = Handset(world)

    top = handset.dial()
    last = handset.press("1", "1")

    assert [line[2:] for line in top.text.splitlines()[1:]] == [
        "Start texts",
        "Stop all texts",
        "Help",
        "Exit",
    ]
    assert last.text.startswith("Test Growers: welcome.")
    assert [row.kind for row in rows(world, ConsentEventRow)][-1] is Consent.GIVEN
    assert handset.dial().text.splitlines()[1] == "1 My plots"


def test_stopping_by_menu_is_confirmed_by_text_and_undone_by_menu(world: World) -> None:
    planted(world)
    handset = Handset(world)
    handset.dial()

    last = handset.press("3", "1")

    assert last.text.startswith("You will get no more texts")
    assert answers(world) == ["stop_ok"]
    assert len(calls(world, TaskKind.STOPPED)) == 1
    assert handset.dial().text.splitlines()[1:3] == ["1 Start texts", "2 Help"]
    assert handset.press("1", "1").text.startswith("Test Growers: welcome.")


def test_what_cannot_be_right_goes_to_a_person(world: World) -> None:
    enrolled = planted(world)
    handset = Handset(world)
    handset.dial()

    last = handset.press("1", "1", "2", "1", "1")

    assert facts(world, enrolled) == []
    (text,) = to_read(world)
    assert (text.text, text.hint) == ("A UP", "up too soon after sowing")
    assert last.text.startswith("Thank you. A person will read")


def test_answers_by_text_are_limited_and_the_screen_still_says_them(world: World) -> None:
    planted(world)
    handset = Handset(world)
    seen = set()
    for _ in range(3):
        handset.dial()
        seen.add(handset.press("4").text)

    assert answers(world) == ["help"]
    (shown,) = seen
    assert shown.startswith("A3 = dose done.")


def test_walking_the_menu_often_mutes_nobody(world: World) -> None:
    planted(world)
    handset = Handset(world)
    for _ in range(7):
        handset.dial()
        handset.press("1", "1", "7")

    world.text("A1")

    assert calls(world, TaskKind.LOOP) == []


def test_a_screen_keeps_to_the_room_of_its_route(world: World) -> None:
    planted(world)
    handset = Handset(world, most=120)
    handset.dial()

    assert handset.press("1", "1").text.splitlines()[-3:] == ["8 More", "0 Back", "9 Exit"]
    assert len(handset.press("8").text) <= 120
