"""One text a phone and evening: doses first, then one notice; the rest waits."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import pytest

from service.planning.planner import (
    Job,
    Notice,
    PhoneFacts,
    PlannedText,
    is_first,
    is_repeat,
    jobs_of,
    plan_evening,
)

DUE = date(2027, 3, 20)
EVE = date(2027, 3, 19)
DAY_AFTER = date(2027, 3, 21)  # the evening two evenings after the reminder's

JOB = Job(
    dose_id=1,
    household_id=1,
    planting_id=1,
    number=3,
    code="A3",
    letter="A",
    label="H1",
    crop="maize-grain",
    due_on=DUE,
    closes_on=date(2027, 3, 26),
    urine_l=21,
    water_l=0,
    revision=1,
    cans=(),
    late=False,
    late_until=date(2027, 3, 25),
    pace=None,
    assumed=False,
    texts=0,
    told_days=frozenset(),
)
TOLD = replace(JOB, texts=1, told_days=frozenset({DUE}))
SECOND = replace(JOB, dose_id=2, letter="D", code="D3")
NOTICE = Notice(
    kind="ready", key="ready:1", first_on=EVE, last_on=date(2027, 3, 25), fields={"n": 1}
)


def all_fit(jobs: Sequence[Job]) -> int:
    return len(jobs)


def planned(
    *jobs: Job,
    evening: date = EVE,
    notices: tuple[Notice, ...] = (),
    used: frozenset[date] = frozenset(),
    said: frozenset[str] = frozenset(),
    room: int = 9,
) -> PlannedText | None:
    facts = PhoneFacts(phone_id=7, used=used, jobs=jobs, notices=notices)
    return plan_evening(facts, evening, said=said, fits=lambda asked: min(room, len(asked)))


def kind(*jobs: Job, evening: date = EVE) -> str | None:
    text = planned(*jobs, evening=evening)
    return None if text is None else text.kind


@pytest.mark.parametrize(
    ("evening", "kind_of_text"),
    [
        pytest.param(date(2027, 3, 18), None, id="two evenings before"),
        pytest.param(EVE, "dose_rain", id="the evening before"),
        pytest.param(DUE, None, id="the evening of the day"),
        pytest.param(DAY_AFTER, "repeat_rain", id="two evenings later"),
        pytest.param(date(2027, 3, 22), None, id="three evenings later"),
    ],
)
def test_a_dose_is_told_the_evening_before_and_once_more_two_evenings_later(
    evening: date, kind_of_text: str | None
) -> None:
    assert kind(JOB, evening=evening) == kind_of_text


def test_a_day_told_before_is_not_told_a_first_time_again() -> None:
    assert not is_first(TOLD, EVE)
    assert is_first(replace(TOLD, due_on=date(2027, 3, 22)), DAY_AFTER)


@pytest.mark.parametrize(
    ("closes_on", "repeats"),
    [
        pytest.param(DUE, False, id="the cut-off is the dose's own day"),
        pytest.param(DAY_AFTER, False, id="the window ends that evening"),
        pytest.param(date(2027, 3, 22), True, id="one day is left"),
    ],
)
def test_a_repeat_goes_only_while_a_day_is_left_for_the_work(
    closes_on: date, *, repeats: bool
) -> None:
    assert is_repeat(replace(TOLD, closes_on=closes_on), DAY_AFTER) is repeats


def test_a_repeat_goes_even_where_the_first_text_could_not() -> None:
    """Messages reference: the repeat two evenings later still goes."""
    assert kind(replace(JOB, texts=0), evening=DAY_AFTER) == "repeat_rain"


@pytest.mark.parametrize(("texts", "told"), [(2, True), (3, False), (4, False)])
def test_a_dose_is_spoken_of_three_times_at_most(texts: int, *, told: bool) -> None:
    job = replace(JOB, texts=texts)

    assert (kind(job) is not None) is told
    assert (kind(job, evening=DAY_AFTER) is not None) is told


@pytest.mark.parametrize(
    ("job", "evening", "name"),
    [
        pytest.param(JOB, EVE, "dose_rain", id="no water"),
        pytest.param(replace(JOB, water_l=42), EVE, "dose", id="with water"),
        pytest.param(replace(JOB, assumed=True), EVE, "dose_rain_assumed", id="not known up"),
        pytest.param(
            replace(JOB, assumed=True, water_l=42), EVE, "dose_assumed", id="water, not known up"
        ),
        pytest.param(
            replace(JOB, assumed=True, number=1),
            EVE,
            "dose_rain",
            id="the planting dose needs none",
        ),
        pytest.param(
            replace(JOB, assumed=True), DAY_AFTER, "repeat_rain", id="a repeat asks for no plants"
        ),
        pytest.param(replace(JOB, water_l=42), DAY_AFTER, "repeat", id="a repeat with water"),
    ],
)
def test_the_kind_of_text_follows_the_water_the_plants_and_the_evening(
    job: Job, evening: date, name: str
) -> None:
    assert kind(job, evening=evening) == name


@pytest.mark.parametrize(("water_l", "name"), [(0, "digest_rain"), (42, "digest")])
def test_several_doses_share_one_digest(water_l: float, name: str) -> None:
    text = planned(SECOND, replace(JOB, water_l=water_l))

    assert text is not None
    assert (text.kind, [job.code for job in text.jobs]) == (name, ["A3", "D3"])


def test_a_repeat_and_a_first_text_share_the_evening_the_older_first() -> None:
    older = replace(SECOND, dose_id=9, due_on=date(2027, 3, 18), closes_on=date(2027, 3, 24))

    text = planned(JOB, older)

    assert text is not None
    assert text.key == "jobs:7:2027-03-19:9.1r,1.1"


def test_the_key_names_phone_evening_dose_and_revision() -> None:
    text = planned(replace(JOB, revision=4))

    assert text is not None
    assert (text.key, text.evening) == ("jobs:7:2027-03-19:1.4", EVE)


@pytest.mark.parametrize(("room", "told"), [(1, ["A3"]), (0, ["A3"]), (2, ["A3", "D3"])])
def test_what_finds_no_room_in_a_digest_is_left_for_a_call(room: int, told: list[str]) -> None:
    text = planned(JOB, SECOND, room=room)

    assert text is not None
    assert [job.code for job in text.jobs] == told
    assert [job.code for job in (*text.jobs, *text.no_room)] == ["A3", "D3"]


def test_a_digest_with_room_for_one_is_the_plain_text_of_that_dose() -> None:
    text = planned(JOB, SECOND, room=1)

    assert text is not None
    assert text.kind == "dose_rain"


def test_an_evening_that_has_had_its_text_gets_no_other() -> None:
    assert planned(JOB, notices=(NOTICE,), used=frozenset({EVE})) is None


def test_doses_go_before_a_notice_and_the_notice_waits() -> None:
    first = planned(JOB, notices=(NOTICE,))
    next_evening = planned(JOB, notices=(NOTICE,), evening=DUE)

    assert first is not None
    assert next_evening is not None
    assert (first.kind, next_evening.kind) == ("dose_rain", "ready")


def test_the_first_notice_that_fits_goes_alone() -> None:
    over = replace(NOTICE, kind="emerge_q", key="over", last_on=date(2027, 3, 18))
    early = replace(NOTICE, kind="harvest_ok", key="early", first_on=DUE)
    later = replace(NOTICE, kind="harvest_ok", key="later")

    text = planned(notices=(over, early, NOTICE, later))

    assert text is not None
    assert (text.kind, text.key, text.fields, text.jobs) == ("ready", "ready:1", {"n": 1}, ())


def test_what_was_said_makes_room_for_the_next_notice() -> None:
    later = replace(NOTICE, kind="harvest_ok", key="later")

    text = planned(notices=(NOTICE, later), said=frozenset({"ready:1"}))

    assert text is not None
    assert text.kind == "harvest_ok"
    assert planned(notices=(NOTICE,), said=frozenset({"ready:1"})) is None


@pytest.mark.parametrize("evening", [EVE, date(2027, 3, 25)])
def test_a_notice_may_go_on_the_first_and_on_the_last_of_its_days(evening: date) -> None:
    assert planned(notices=(NOTICE,), evening=evening) is not None


def test_jobs_come_by_day_and_then_by_letter() -> None:
    facts = PhoneFacts(
        phone_id=7,
        used=frozenset(),
        jobs=(
            replace(JOB, letter="D"),
            replace(JOB, letter="A"),
            replace(JOB, letter="T", due_on=date(2027, 3, 18), closes_on=date(2027, 3, 24)),
        ),
        notices=(),
    )

    assert [job.letter for job in jobs_of(facts, EVE)] == ["T", "A", "D"]
    assert plan_evening(facts, EVE, said=frozenset(), fits=all_fit) is not None
