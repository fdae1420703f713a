"""What a phone's text is read against: its plots, open doses, cans, questions and own texts."""

from datetime import date

import pytest

from service.agronomy.containers import CanEventKind
from service.inbound.reply_codes import Context, DoseRef, Question
from service.inbound.situation import Situation, situation_of, unknown_situation
from service.planning.drafts import language_of
from service.records.people import Consent
from service.records.phones import phone_by_number
from service.records.plantings import association
from tests.world import PHONE, World, enrol
from tests.world_facts import another_can, another_plot, can_event

A1 = DoseRef(plot="A", number=1)


def situation(world: World) -> Situation:
    with world.services.sessions.read() as session:
        phone = phone_by_number(session, 1, PHONE)
        assert phone is not None
        row = association(session, 1)
        return situation_of(session, row, phone, language=language_of(phone), now=world.clock())


def context(world: World) -> Context:
    return situation(world).context


def test_a_stranger_has_nothing_and_speaks_the_associations_language(world: World) -> None:
    enrol(world)
    world.tick("2027-03-15T01:30")
    with world.services.sessions.read() as session:
        found = unknown_situation(association(session, 1), sender="INFO", now=world.clock())

    assert (found.context.unknown, found.context.sender) == (True, "INFO")
    assert (found.context.plots, found.context.open, found.plantings) == ((), (), {})
    assert (found.context.language, found.context.received_on) == ("en", date(2027, 3, 15))


@pytest.mark.parametrize(
    ("at", "opened"),
    [
        pytest.param("2027-03-12T12:00", (), id="three days before its day"),
        pytest.param("2027-03-13T12:00", (A1,), id="two days before"),
        pytest.param("2027-03-21T12:00", (A1,), id="the last day of its window"),
        pytest.param("2027-03-25T12:00", (A1,), id="closed, and still reportable"),
    ],
)
def test_a_dose_is_open_to_reports_from_two_days_before(
    world: World, at: str, opened: tuple[DoseRef, ...]
) -> None:
    enrol(world)
    world.tick("2027-03-10T12:00")

    world.tick(at)

    assert context(world).open == opened


def test_a_window_that_closed_over_six_days_ago_is_no_longer_open(world: World) -> None:
    enrol(world)
    world.tick("2027-03-27T12:00")
    last_day = context(world).open

    world.tick("2027-03-28T12:00")

    assert A1 in last_day
    assert A1 not in context(world).open


def test_what_is_done_is_done_and_what_is_not_done_stays_open(world: World) -> None:
    enrolled = enrol(world)
    another_plot(world, enrolled, letter="D")
    world.tick("2027-03-15T09:00")
    world.text("A1", at="2027-03-15T12:00")

    world.text("D1 NO", at="2027-03-15T12:01")

    now = context(world)
    assert (now.done, now.open) == ((A1,), (DoseRef(plot="D", number=1),))
    assert now.plots == ("A", "D")


def test_dropped_doses_are_neither(world: World) -> None:
    enrol(world, sealed_on=date(2027, 3, 10))

    world.tick("2027-03-22T12:00")

    assert (context(world).open, context(world).done) == ((), ())


def test_cans_being_filled_are_asked_for_and_all_are_known(world: World) -> None:
    enrolled = enrol(world)
    another_can(world, enrolled, number=2, sealed_on=date(2027, 1, 1))
    another_can(world, enrolled, number=3, sealed_on=date(2027, 1, 1))
    can_event(world, enrolled, CanEventKind.EMPTIED, date(2027, 2, 1), number=2)
    can_event(world, enrolled, CanEventKind.OPENED, date(2027, 2, 1), number=3)

    found = situation(world)

    assert found.context.cans == (2, 3)
    assert found.cans == dict.fromkeys((1, 2, 3), enrolled.household_id)


def test_a_shared_phone_has_the_plots_of_all_its_homes(world: World) -> None:
    enrol(world)
    second = enrol(world, code="H02", letter="D", can=2)

    found = situation(world)

    assert (found.context.shared, found.context.plots) == (True, ("A", "D"))
    assert found.plantings["D"].household.id == second.household_id
    assert found.cans[2] == second.household_id


def test_a_plot_without_a_letter_cannot_be_named(world: World) -> None:
    enrol(world, letter=None)

    assert context(world).plots == ()


def test_what_was_sent_lately_is_known_with_its_day(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.tick("2027-03-14T23:00")

    (sent,) = context(world).sent
    world.tick("2027-03-21T17:59")
    for_a_week = any(old.text == sent.text for old in context(world).sent)
    world.tick("2027-03-21T18:01")

    assert (sent.text, sent.sent_on) == (world.bodies()[0], date(2027, 3, 14))
    assert for_a_week
    assert all(old.text != sent.text for old in context(world).sent)


def test_an_invitation_is_an_open_question_to_the_phone_itself(world: World) -> None:
    enrol(world, consent=Consent.VERBAL)
    enrol(world, code="H02", letter="D", consent=Consent.VERBAL)
    world.tick("2027-02-20T10:00")

    now = context(world)

    assert (now.question, now.question_plot, now.shared) == (Question.CONSENT, None, False)


def test_a_bare_yes_is_unsure_while_a_dose_is_open_beside_the_question(world: World) -> None:
    enrol(world)
    world.tick("2027-03-21T18:00")

    now = context(world)

    assert (now.open, now.question, now.shared) == ((A1,), Question.EMERGENCE, True)


def test_on_a_phone_that_is_texted_already_a_bare_yes_to_an_invitation_is_unsure(
    world: World,
) -> None:
    enrol(world)
    enrol(world, code="H02", letter="D", consent=Consent.VERBAL)
    world.tick("2027-03-14T18:00")

    now = context(world)

    assert (now.question, now.shared) == (Question.CONSENT, True)


def asked(world: World, *, letters: str = "A") -> None:
    """Ask the question of emergence of plots whose planting dose is noted as done."""
    enrolled = enrol(world)
    for letter in letters[1:]:
        another_plot(world, enrolled, letter=letter)
    world.tick("2027-03-15T09:00")
    for letter in letters:
        world.text(f"{letter}1", at="2027-03-15T12:00")
    world.tick("2027-03-21T18:00")
    world.tick("2027-03-22T18:00")


def test_the_question_whether_plants_are_up_is_open_for_its_plot(world: World) -> None:
    asked(world)

    now = context(world)

    assert (now.question, now.question_plot, now.shared) == (Question.EMERGENCE, "A", False)


def test_a_week_later_the_question_is_no_longer_open(world: World) -> None:
    asked(world)
    world.tick("2027-03-27T23:00")
    on_the_last_day = context(world).question

    world.tick("2027-03-28T01:00")

    assert (on_the_last_day, context(world).question) == (Question.EMERGENCE, None)


def test_two_open_questions_name_no_plot_since_a_yes_could_mean_either(world: World) -> None:
    asked(world, letters="AD")

    assert context(world).question_plot is None


def test_an_answered_question_is_closed(world: World) -> None:
    asked(world)
    world.text("yes", at="2027-03-22T19:00")

    assert context(world).question is None
