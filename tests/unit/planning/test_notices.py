"""What a phone is told beside its doses, once each: plants up? container ready, harvest safe."""

from datetime import date

import pytest

from service.agronomy.containers import CanEventKind
from service.records.people import Consent
from tests.world import OTHER_PHONE, PHONE, World, enrol, tick_through
from tests.world_facts import another_can, another_phone, another_plot, can_event, consent_said
from tests.world_looks import messages

EVENING = ("18:00",)


def evenings(world: World, *kinds: str) -> list[tuple[str, date]]:
    return [
        (row.kind, row.evening)
        for row in messages(world, *kinds)
        if row.evening is not None and row.state == "delivered"
    ]


def test_the_question_whether_plants_are_up_goes_on_the_assumed_day_and_once(world: World) -> None:
    """Maize is assumed up six days after sowing: the crop table."""
    enrol(world)
    tick_through(world, date(2027, 3, 20), date(2027, 3, 26), hours=EVENING)

    assert evenings(world, "emerge_q") == [("emerge_q", date(2027, 3, 21))]
    assert "reply A UP" in world.bodies()[-1]


def test_nothing_is_asked_once_plants_are_known_to_be_up(world: World) -> None:
    enrol(world)
    world.tick("2027-03-20T18:00")
    world.text("A UP", at="2027-03-20T19:00")

    tick_through(world, date(2027, 3, 21), date(2027, 3, 22), hours=EVENING)

    assert evenings(world, "emerge_q") == []


def test_nobody_asks_a_transplanted_crop_whether_it_is_up(world: World) -> None:
    enrol(world, crop="tomato", planted_on=date(2027, 3, 15))

    tick_through(world, date(2027, 3, 15), date(2027, 3, 26), hours=EVENING)

    assert evenings(world, "emerge_q") == []
    assert evenings(world, "dose") != []


def test_a_question_that_found_no_evening_for_a_week_is_let_go(world: World) -> None:
    enrol(world)

    tick_through(world, date(2027, 3, 28), date(2027, 3, 31), hours=EVENING)

    assert evenings(world, "emerge_q") == []


def test_a_container_that_becomes_ready_is_announced_with_its_plots_youngest_first(
    world: World,
) -> None:
    """Sealed on 30 January, 30 days of rest: 1 March."""
    enrolled = enrol(world, sealed_on=date(2027, 1, 30), planted_on=date(2027, 3, 15))
    another_plot(world, enrolled, letter="D", planted_on=date(2027, 3, 25))

    tick_through(world, date(2027, 2, 28), date(2027, 3, 3), hours=EVENING)

    assert evenings(world, "ready") == [("ready", date(2027, 3, 1))]
    (told,) = messages(world, "ready")
    assert told.fields["values"] == {"n": 1, "wait": 30, "order": ["D", "A"]}


def test_a_container_sealed_anew_is_announced_again(world: World) -> None:
    enrolled = enrol(world, sealed_on=date(2027, 1, 21))
    world.tick("2027-02-20T18:00")

    can_event(world, enrolled, CanEventKind.REFILLED, date(2027, 2, 21))
    tick_through(world, date(2027, 3, 22), date(2027, 3, 25), hours=EVENING)

    assert evenings(world, "ready") == [
        ("ready", date(2027, 2, 20)),
        ("ready", date(2027, 3, 23)),
    ]


def test_a_container_emptied_before_its_day_is_not_announced(world: World) -> None:
    enrolled = enrol(world, sealed_on=date(2027, 1, 30))
    can_event(world, enrolled, CanEventKind.EMPTIED, date(2027, 2, 25))

    tick_through(world, date(2027, 3, 1), date(2027, 3, 2), hours=EVENING)

    assert evenings(world, "ready") == []


def test_two_containers_ready_on_one_day_are_told_on_two_evenings(world: World) -> None:
    enrolled = enrol(world, sealed_on=date(2027, 1, 30))
    another_can(world, enrolled, number=2, sealed_on=date(2027, 1, 30))

    tick_through(world, date(2027, 3, 1), date(2027, 3, 3), hours=EVENING)

    assert evenings(world, "ready") == [
        ("ready", date(2027, 3, 1)),
        ("ready", date(2027, 3, 2)),
    ]


def test_the_safe_harvest_is_told_when_no_dose_is_left_and_not_before(world: World) -> None:
    """Kale, first picked 50 days after planting: the last possible dose is 30 days before."""
    enrol(world, crop="kale", planted_on=date(2027, 3, 1), sealed_on=date(2027, 1, 1))

    tick_through(world, date(2027, 3, 1), date(2027, 5, 10), hours=EVENING)

    told = evenings(world, "harvest_ok")
    assert told == [("harvest_ok", date(2027, 4, 20))]
    (row,) = messages(world, "harvest_ok")
    assert row.fields["values"]["plot"] == "A"
    assert row.fields["values"]["wait"] >= 30


@pytest.mark.parametrize("letter", ["A", None])
def test_a_plot_without_a_letter_gets_no_notice_at_all(world: World, letter: str | None) -> None:
    enrol(world, letter=letter, sealed_on=date(2027, 2, 20))

    tick_through(world, date(2027, 3, 20), date(2027, 3, 23), hours=EVENING)

    assert bool(evenings(world)) is (letter is not None)


def test_a_home_with_two_phones_is_texted_on_the_first_that_agreed(world: World) -> None:
    enrolled = enrol(world, consent=Consent.VERBAL)
    second = another_phone(world, enrolled, number=OTHER_PHONE)
    world.tick("2027-03-10T09:00")
    consent_said(world, enrolled, Consent.GIVEN)

    world.tick("2027-03-14T18:00")

    assert second != enrolled.phone_id
    assert len([body for body in world.bodies(PHONE) if "A1" in body]) == 1
    assert world.bodies(OTHER_PHONE) == []
