"""Which text goes on an evening: a can that became ready late, a day that moved, drops of water."""

from dataclasses import replace
from datetime import date

import pytest

from service.planning.planner import Job, PhoneFacts, is_first_late, jobs_of, plan_evening

DUE, CLOSES = date(2027, 3, 20), date(2027, 3, 26)
EVE = date(2027, 3, 19)
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
    closes_on=CLOSES,
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


def kind(*jobs: Job, evening: date = EVE) -> str | None:
    facts = PhoneFacts(phone_id=7, used=frozenset(), jobs=jobs, notices=())
    text = plan_evening(facts, evening, said=frozenset(), fits=len)
    return None if text is None else text.kind


@pytest.mark.parametrize(
    ("evening", "told"),
    [
        pytest.param(date(2027, 3, 19), False, id="the evening before its day"),
        pytest.param(date(2027, 3, 20), True, id="the evening of its day"),
        pytest.param(date(2027, 3, 23), True, id="between"),
        pytest.param(date(2027, 3, 25), True, id="the evening before it closes"),
        pytest.param(date(2027, 3, 26), False, id="the evening it closes"),
    ],
)
def test_a_dose_whose_can_is_ready_late_is_told_while_a_day_is_left_for_the_work(
    evening: date, *, told: bool
) -> None:
    late = replace(JOB, late=True)

    assert is_first_late(late, evening) is told
    if evening >= DUE:
        assert kind(late, evening=evening) == ("dose_rain" if told else None)


def test_a_dose_told_before_its_can_was_ready_late_has_its_usual_repeat() -> None:
    told = replace(JOB, late=True, texts=1, told_days=frozenset({DUE}))

    facts = PhoneFacts(phone_id=7, used=frozenset(), jobs=(told,), notices=())
    evenings = [day for day in range(19, 27) if jobs_of(facts, date(2027, 3, day))]

    assert evenings == [21]


def test_a_dose_told_for_another_day_is_told_as_moved() -> None:
    moved = replace(JOB, texts=1, told_days=frozenset({date(2027, 3, 22)}))

    assert kind(moved) == "moved_rain"
    assert kind(replace(moved, water_l=0.5)) == "moved"


def test_a_dose_that_may_come_before_the_plants_says_so_even_where_it_moved() -> None:
    unsure = replace(JOB, assumed=True, texts=1, told_days=frozenset({date(2027, 3, 22)}))

    assert kind(unsure) == "dose_rain_assumed"


@pytest.mark.parametrize(("number", "name"), [(1, "dose_rain"), (2, "dose_rain_assumed")])
def test_the_dose_at_planting_waits_for_no_plants(number: int, name: str) -> None:
    assert kind(replace(JOB, number=number, assumed=True)) == name


def test_half_a_litre_of_water_is_water() -> None:
    watered = replace(JOB, water_l=0.5)

    assert kind(watered) == "dose"
    assert kind(watered, replace(watered, dose_id=2)) == "digest"
