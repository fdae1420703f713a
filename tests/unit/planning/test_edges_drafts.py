"""What a queued text carries: whose words, which day, which can, and when it may leave."""

from dataclasses import replace
from datetime import UTC, date, datetime, time

import pytest

from service.outbox.enqueue import Draft
from service.planning.drafts import (
    can_value,
    draft_of,
    fits_with,
    job_values,
    language_of,
    voice_fields,
)
from service.planning.planner import Job, PlannedText
from service.planning.send_window import at_local, zone_of
from service.records.people import AssociationRow, HouseholdRow, PhoneRow
from service.records.phones import PhoneBundle
from tests.fresh import shipped_texts

ROW = AssociationRow(id=1, name="Test Growers", zone="Africa/Dar_es_Salaam", phone="+255100000090")
MAMA = HouseholdRow(
    id=1, language="en", discreet=True, word="green mix", remind_minute=18 * 60 + 30
)
BABA = HouseholdRow(id=2, language="en", discreet=False, word=None, remind_minute=17 * 60)
DUE, EVENING = date(2027, 3, 20), date(2027, 3, 19)
NOON = datetime(2027, 3, 19, 9, 0, tzinfo=UTC)
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
    water_l=42,
    revision=2,
    cans=(),
    late=False,
    late_until=date(2027, 3, 25),
    pace=None,
    assumed=False,
    texts=0,
    told_days=frozenset(),
)
OTHER = replace(
    JOB, dose_id=2, household_id=2, code="D1", number=1, due_on=date(2027, 3, 21), revision=1
)


def a_phone(*homes: HouseholdRow) -> PhoneBundle:
    return PhoneBundle(phone=PhoneRow(id=7, language="sw"), households=homes, consents=())


def draft(text: PlannedText, *homes: HouseholdRow, now: datetime = NOON) -> Draft:
    return draft_of(text, a_phone(*(homes or (MAMA,))), ROW, 4, now=now)


def of_jobs(kind: str, *jobs: Job) -> PlannedText:
    return PlannedText(kind=kind, key="k", evening=EVENING, jobs=jobs)


def values(kind: str, *jobs: Job, homes: tuple[HouseholdRow, ...] = (MAMA,)) -> dict[str, object]:
    found = draft(of_jobs(kind, *jobs), *homes).fields["values"]
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize(
    ("number", "assumed", "unsure"), [(1, True, False), (2, True, True), (2, False, False)]
)
def test_a_line_is_unsure_from_the_second_dose_on_where_nobody_knows_of_plants(
    number: int, *, assumed: bool, unsure: bool
) -> None:
    job = replace(JOB, number=number, assumed=assumed)

    assert job_values(job, a_phone(MAMA), wet=True)["unsure"] is unsure


def test_a_line_names_its_home_on_a_shared_phone_and_water_where_there_is_some() -> None:
    assert job_values(JOB, a_phone(MAMA), wet=False) == {
        "label": None,
        "code": "A3",
        "urine": 21,
        "water": None,
        "unsure": False,
    }
    shared = job_values(JOB, a_phone(MAMA, BABA), wet=True)
    assert (shared["label"], shared["water"]) == ("H1", 42)


@pytest.mark.parametrize(("cans", "named"), [((), None), ((2,), [2]), ((1, 2), [1, 2])])
def test_a_text_names_the_cans_it_has_to(cans: tuple[int, ...], named: list[int] | None) -> None:
    assert can_value(cans) == named
    assert values("dose", replace(JOB, cans=cans))["can"] == named


@pytest.mark.parametrize(
    ("cans", "named"),
    [
        pytest.param([(1,), (1,)], [1], id="one for both"),
        pytest.param([(1,), (2,)], None, id="one each"),
        pytest.param([(), ()], None, id="none to name"),
    ],
)
def test_a_digest_names_a_can_where_all_use_the_same(
    cans: list[tuple[int, ...]], named: list[int] | None
) -> None:
    jobs = [replace(job, cans=own) for job, own in zip((JOB, OTHER), cans, strict=True)]

    found = values("digest", *jobs)

    assert (found["can"], found["day"]) == (named, "2027-03-20")


@pytest.mark.parametrize(("water", "told"), [(42, [42, 0]), (0, [None, None])])
def test_a_digest_speaks_of_water_where_any_dose_has_some(
    water: float, told: list[float | None]
) -> None:
    kind = "digest" if water else "digest_rain"

    jobs = values(kind, replace(JOB, water_l=water), replace(OTHER, water_l=0))["jobs"]

    assert isinstance(jobs, list)
    assert [line["water"] for line in jobs] == told


def test_a_dose_that_moved_is_told_with_its_new_day() -> None:
    assert values("moved", JOB) == {
        "code": "A3",
        "day": "2027-03-20",
        "plot": "A",
        "urine": 21,
        "water": 42,
    }


@pytest.mark.parametrize("pace", [None, {"cups": 1, "plants": 10}])
def test_a_reminder_says_how_many_cups_where_they_can_be_counted(
    pace: dict[str, int] | None,
) -> None:
    found = values("dose", replace(JOB, pace=pace))

    assert (found["per"], found["tip"], found["day"]) == (pace, 3, "2027-03-20")


def test_a_repeat_has_no_day_but_a_person_to_ask() -> None:
    found = values("repeat", JOB)

    assert (found["k"], found["phone"]) == (3, "+255100000090")
    assert "day" not in found


@pytest.mark.parametrize(
    ("kind", "fields", "found"),
    [
        pytest.param(
            "emerge_q",
            {"plot": "A", "crop": "kale", "planting_id": 9},
            {"plot": "A", "crop": "kale"},
            id="our ids stay here",
        ),
        pytest.param("emerge_q", None, {}, id="nothing to say"),
    ],
)
def test_a_notice_carries_its_own_values(
    kind: str, fields: dict[str, object] | None, found: dict[str, object]
) -> None:
    text = PlannedText(kind=kind, key="k", evening=EVENING, fields=fields)

    assert draft(text).fields["values"] == found


def test_a_text_that_takes_a_dose_back_names_a_person_to_ask() -> None:
    text = PlannedText(
        kind="withdrawn", key="k", evening=EVENING, fields={"code": "A3", "plot": "A"}
    )

    assert draft(text).fields["values"] == {"code": "A3", "plot": "A", "phone": "+255100000090"}


def test_a_digest_holds_a_few_doses_and_not_any_number() -> None:
    fits = fits_with(shipped_texts(), a_phone(MAMA), "en", day=DUE)

    assert fits([JOB]) == 1
    assert 2 <= fits([replace(JOB, number=number, code=f"A{number}") for number in range(50)]) < 50


def test_a_text_on_a_shared_phone_keeps_the_wish_of_the_home_it_is_for() -> None:
    mamas = draft(of_jobs("digest", JOB, OTHER), MAMA, BABA).fields
    babas = draft(of_jobs("digest", OTHER, JOB), MAMA, BABA).fields
    nobodys = draft(PlannedText(kind="emerge_q", key="k", evening=EVENING), MAMA, BABA).fields

    assert (mamas["discreet"], mamas["what"]) == (True, "green mix")
    assert (babas["discreet"], babas["what"]) == (False, None)
    assert (nobodys["discreet"], nobodys["what"]) == (False, None)


def test_a_phone_of_two_homes_speaks_its_own_language() -> None:
    assert (language_of(a_phone(MAMA)), language_of(a_phone(MAMA, BABA))) == ("en", "sw")
    assert voice_fields(a_phone(MAMA))["what"] == "green mix"


def test_a_text_is_linked_to_each_of_its_doses() -> None:
    links = draft(of_jobs("digest", JOB, OTHER)).doses

    assert [(link.dose_id, link.revision, link.due_on) for link in links] == [
        (1, 2, DUE),
        (2, 1, date(2027, 3, 21)),
    ]


@pytest.mark.parametrize(("homes", "opens"), [((MAMA,), time(18, 30)), ((MAMA, BABA), time(17))])
def test_a_reminder_leaves_from_the_earliest_minute_of_its_homes(
    homes: tuple[HouseholdRow, ...], opens: time
) -> None:
    zone = zone_of(ROW.zone)

    found = draft(of_jobs("dose", JOB), *homes)

    assert found.due_at == at_local(EVENING, opens, zone)
    assert found.expires_at == at_local(EVENING, time(20), zone)


@pytest.mark.parametrize(
    ("hour", "opens"),
    [
        pytest.param(time(12), (EVENING, time(12)), id="by day at once"),
        pytest.param(time(5), (EVENING, time(6)), id="before six, from six"),
        pytest.param(time(21), (DUE, time(6)), id="at night, in the morning"),
    ],
)
@pytest.mark.parametrize("kind", ["consent", "rain_hold", "withdrawn"])
def test_what_cannot_wait_for_the_evening_leaves_by_day(
    kind: str, hour: time, opens: tuple[date, time]
) -> None:
    zone = zone_of(ROW.zone)
    text = PlannedText(kind=kind, key="k", evening=EVENING, fields={})

    found = draft(text, now=at_local(EVENING, hour, zone))

    assert found.due_at == at_local(*opens, zone)
