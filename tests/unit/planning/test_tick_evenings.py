"""Which evenings a step plans texts for, and for which phones."""

from datetime import date

import pytest

from service.planning import drafts, tick
from service.records.people import Consent
from tests.world import World, enrol
from tests.world_looks import messages


def test_an_evening_that_has_just_closed_gets_no_text(world: World) -> None:
    """At 20:00 sharp the first dose's evening is over: it goes to the call list instead."""
    enrol(world)

    world.tick("2027-03-14T20:00")

    assert [row for row in messages(world, "dose") if row.evening == date(2027, 3, 14)] == []


def test_a_minute_before_it_closes_it_still_gets_one(world: World) -> None:
    enrol(world)

    world.tick("2027-03-14T19:59")

    assert [row.evening for row in messages(world, "dose")][:1] == [date(2027, 3, 14)]


def test_a_phone_is_not_invited_while_a_refusal_may_wait_to_be_read(world: World) -> None:
    enrol(world, consent=Consent.VERBAL)
    world.text("please stop A1 my brother is ill", at="2027-02-20T21:00")

    world.tick("2027-02-21T09:00")

    assert messages(world, "consent") == []


def test_what_fits_is_reckoned_with_the_day_that_the_text_names(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reminder names the day after its evening; two evenings are planned."""
    enrol(world)
    named: list[date] = []
    fits_with = drafts.fits_with

    def noted(*given: object, day: date) -> object:
        named.append(day)
        return fits_with(*given, day=day)  # type: ignore[arg-type]  # -- passed on as they came

    monkeypatch.setattr(tick, "fits_with", noted)
    world.tick("2027-03-10T12:00")

    assert named == [date(2027, 3, 11), date(2027, 3, 12)]
