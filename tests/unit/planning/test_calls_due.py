"""Whom a person should call, from when, and that each call opens once."""

from datetime import date

import pytest

from gateway_adapters.contract import RejectKind
from gateway_adapters.fake_script import NoAnswer, Reject
from service.records.people import Consent
from service.records.traffic import TaskKind
from tests.world import OTHER_PHONE, World, enrol
from tests.world_looks import calls, dose, to_read


def opened(world: World, *kinds: TaskKind) -> list[tuple[str, str]]:
    return [(row.kind.value, row.key.split(":", 1)[1]) for row in calls(world, *kinds)]


@pytest.mark.parametrize(
    ("at", "found"),
    [
        pytest.param("2027-03-16T18:00", [], id="the evening of the repeat"),
        pytest.param("2027-03-17T05:59", [], id="before six in the morning"),
        pytest.param("2027-03-17T06:00", ["1:2027-03-15"], id="the morning after the repeat"),
        pytest.param("2027-03-24T06:00", ["1:2027-03-15"], id="nine days after the dose"),
        pytest.param("2027-03-25T06:00", [], id="ten days after: news of yesterday"),
    ],
)
def test_silence_is_called_about_the_morning_after_the_repeat(
    world: World, at: str, found: list[str]
) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")

    world.tick(at)

    assert [key for _, key in opened(world, TaskKind.SILENT)] == found
    assert dose(world, enrolled, 1).number == 1


def test_a_call_opens_once_and_closes_when_the_grower_tells(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.tick("2027-03-17T06:00")
    world.tick("2027-03-18T06:00")
    before = opened(world, TaskKind.SILENT)

    world.text("A1 3", at="2027-03-18T12:00")
    world.tick("2027-03-19T06:00")

    assert before == [("silent", "1:2027-03-15")]
    assert opened(world, TaskKind.SILENT) == []


def test_an_answer_that_nobody_has_read_is_called_about_as_that(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1 but only half of it", at="2027-03-15T12:00")

    world.tick("2027-03-17T06:00")

    assert opened(world, TaskKind.UNREAD, TaskKind.SILENT) == [("unread", "1:2027-03-15")]


def test_an_unread_text_that_names_no_plot_leaves_the_dose_silent(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("my neighbour asks for seed", at="2027-03-15T12:00")

    world.tick("2027-03-17T06:00")

    assert opened(world, TaskKind.UNREAD, TaskKind.SILENT) == [("silent", "1:2027-03-15")]
    assert len(to_read(world)) == 1


@pytest.mark.parametrize(
    ("at", "found"),
    [
        ("2027-03-13T23:00", []),
        ("2027-03-14T00:00", ["not-ready"]),
        ("2027-03-21T12:00", ["not-ready"]),
        ("2027-03-22T00:00", []),
    ],
    ids=["two days before", "the day before", "the last day of its window", "after its window"],
)
def test_a_dose_with_no_ready_can_is_called_about_while_it_is_open(
    world: World, at: str, found: list[str]
) -> None:
    enrol(world, sealed_on=date(2027, 3, 1))

    world.tick(at)

    assert [kind for kind, _ in opened(world, TaskKind.NOT_READY)] == found
    assert world.bodies() == []


def test_a_reminder_that_could_not_leave_in_time_is_listed_as_not_told(world: World) -> None:
    """M2 of the features: a gateway down over the evening; nothing goes at night."""
    enrol(world)
    world.gateway.script += [Reject(kind=RejectKind.TRANSIENT)] * 9
    world.tick("2027-03-14T18:00")
    world.tick("2027-03-14T20:00")
    tonight = opened(world, TaskKind.NOT_TOLD)

    world.tick("2027-03-15T00:00")
    world.tick("2027-03-15T06:00")

    assert (tonight, world.bodies()) == ([], [])
    assert opened(world, TaskKind.NOT_TOLD) == [("not-told", "1:2027-03-15")]


def test_a_reminder_refused_for_good_is_listed_as_not_told_too(world: World) -> None:
    enrol(world)
    world.gateway.script.append(Reject(kind=RejectKind.PERMANENT))
    world.tick("2027-03-14T18:00")

    world.tick("2027-03-15T06:00")

    assert opened(world, TaskKind.NOT_TOLD) == [("not-told", "1:2027-03-15")]


def test_a_reminder_told_is_not_listed(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")

    world.tick("2027-03-15T06:00")

    assert opened(world) == []


def test_who_is_enrolled_in_mid_season_is_not_called_about_every_day_before(world: World) -> None:
    world.tick("2027-04-12T09:00")
    enrol(world)

    world.tick("2027-04-12T10:00")

    assert opened(world, TaskKind.NOT_TOLD) == [("not-told", "4:2027-04-11")]


@pytest.mark.parametrize(
    "how",
    [
        pytest.param({"needs_call": True}, id="nobody reads there"),
        pytest.param({"letter": None}, id="a plot without a letter"),
        pytest.param({"consent": Consent.VERBAL}, id="the phone has not said yes"),
        pytest.param({"consent": None}, id="nobody has asked"),
    ],
)
def test_where_no_text_may_go_a_call_takes_its_place(
    world: World, how: dict[str, bool | None]
) -> None:
    enrol(world, **how)  # type: ignore[arg-type]  # -- each row has the type its name asks for

    found = []
    for at in ("2027-03-14T05:59", "2027-03-14T06:00", "2027-03-15T06:00"):
        world.tick(at)
        found.append(opened(world, TaskKind.BY_CALL))

    assert found == [[], [("by-call", "1:2027-03-15")], [("by-call", "1:2027-03-15")]]
    assert not any("A1" in body for body in world.bodies())


def test_a_call_in_place_of_a_text_comes_no_later_than_the_day(world: World) -> None:
    enrol(world, needs_call=True)

    world.tick("2027-03-16T06:00")

    assert opened(world) == []


@pytest.mark.parametrize(
    ("at", "found"),
    [
        ("2027-03-27T05:59", []),
        ("2027-03-27T06:00", ["emergence"]),
        ("2027-04-10T06:00", ["emergence"]),
        ("2027-04-11T06:00", []),
    ],
    ids=["before six", "the morning before the dose of E + 7", "twenty days after", "later"],
)
def test_plants_not_known_to_be_up_are_called_about(
    world: World, at: str, found: list[str]
) -> None:
    """Design, settled point 6: the call opens on the morning before the dose of E + 7."""
    enrol(world)

    world.tick(at)

    assert [kind for kind, _ in opened(world, TaskKind.EMERGENCE)] == found


def test_a_transplanted_crop_is_not_called_about_for_that(world: World) -> None:
    enrol(world, crop="tomato")

    world.tick("2027-03-27T06:00")

    assert opened(world, TaskKind.EMERGENCE) == []


def test_a_text_of_which_nobody_knows_whether_it_left_is_shown(world: World) -> None:
    enrolled = enrol(world)
    world.gateway.script.append(NoAnswer(delivered=False))
    world.tick("2027-03-14T18:00")

    world.tick("2027-03-14T18:01")

    (task,) = calls(world, TaskKind.UNKNOWN)
    assert task.phone_id == enrolled.phone_id


def test_doses_that_find_no_room_in_a_digest_are_called_about(world: World) -> None:
    """A label outside the GSM alphabet leaves 134 characters for two segments (TS 23.038)."""
    for place, letter in enumerate("ADGJMPTW"):
        enrol(world, code=f"\N{ETHIOPIC SYLLABLE HA}home{place}", letter=letter, water_ratio=2)

    world.tick("2027-03-14T18:00")

    told = [letter for letter in "ADGJMPTW" if f"{letter}1" in world.bodies()[-1]]
    left = calls(world, TaskKind.NO_ROOM)
    assert 1 < len(told) < 8
    assert {row.household_id for row in left} == set(range(len(told) + 1, 8 + 1))


def test_an_unread_text_on_one_phone_does_not_name_anothers_plot(world: World) -> None:
    enrol(world)
    enrol(world, code="H02", number=OTHER_PHONE)
    world.tick("2027-03-14T18:00")
    world.text("A1 but only half of it", number=OTHER_PHONE, at="2027-03-15T12:00")

    world.tick("2027-03-17T06:00")

    assert sorted(kind for kind, _ in opened(world, TaskKind.UNREAD, TaskKind.SILENT)) == [
        "silent",
        "unread",
    ]
