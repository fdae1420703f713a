"""What a planting's facts say at their edges: burns looked at, seed sown again, litres told."""

from datetime import UTC, date, datetime

import pytest

from service.agronomy.season import Hold, Soil
from service.planning.season_facts import read_facts, season_facts, site_is_open
from service.records.fields import (
    DoseRow,
    DoseState,
    FactKind,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.localities import AreaHoldRow
from service.records.locality_book import LocalityBook
from service.records.people import HouseholdRow
from service.records.plantings import PlantingBundle

SOWN = date(2027, 3, 15)
BURNT_AT = datetime(2027, 4, 10, 8, 0, tzinfo=UTC)
LATER = datetime(2027, 4, 12, 8, 0, tzinfo=UTC)


def fact(
    kind: FactKind,
    on: date,
    number: int | None = None,
    *,
    litres: float | None = None,
    at: datetime = LATER,
) -> PlantingFactRow:
    return PlantingFactRow(
        kind=kind, on=on, dose_number=number, litres=litres, source=Source.TEXT, recorded_at=at
    )


def bundle(
    *facts: PlantingFactRow,
    doses: tuple[DoseRow, ...] = (),
    holds: tuple[HoldRow, ...] = (),
    area_holds: tuple[AreaHoldRow, ...] = (),
    litres_per_m2: float | None = 1.0,
    avoid_weekday: int | None = None,
) -> PlantingBundle:
    return PlantingBundle(
        planting=PlantingRow(crop="maize-grain", planted_on=SOWN, litres_per_m2=litres_per_m2),
        plot=PlotRow(letter="A", area_m2=100, soil=Soil.NORMAL),
        household=HouseholdRow(id=1, area_id=3, avoid_weekday=avoid_weekday),
        facts=facts,
        holds=holds,
        doses=doses,
        book=LocalityBook(holds=area_holds, spans=(), values=(), store_c={3: 24}),
    )


def a_dose(
    number: int,
    due_on: date,
    *,
    state: DoseState = DoseState.PLANNED,
    litres: float = 20,
    told: bool = False,
) -> DoseRow:
    return DoseRow(number=number, due_on=due_on, state=state, urine_l=litres, told=told)


def a_hold(first: int, last: int, at: datetime = BURNT_AT) -> HoldRow:
    return HoldRow(first_on=date(2027, 4, first), last_on=date(2027, 4, last), recorded_at=at)


@pytest.mark.parametrize(
    ("kind", "told"),
    [(FactKind.SOWN, True), (FactKind.PUT_OFF, False), (FactKind.RESOWN, True)],
)
def test_a_day_of_sowing_is_told_unless_it_is_put_off(kind: FactKind, *, told: bool) -> None:
    reports = read_facts(bundle(fact(kind, date(2027, 3, 20))))

    assert (reports.planted_on, reports.sown_told) == (date(2027, 3, 20), told)


def test_sowing_put_off_after_it_was_told_is_not_told_any_more() -> None:
    reports = read_facts(
        bundle(fact(FactKind.SOWN, SOWN), fact(FactKind.PUT_OFF, date(2027, 3, 20)))
    )

    assert not reports.sown_told


@pytest.mark.parametrize(("day", "up"), [(14, False), (15, True), (16, True)])
def test_plants_may_be_up_on_the_day_they_were_sown_at_the_earliest(day: int, *, up: bool) -> None:
    reports = read_facts(bundle(fact(FactKind.EMERGED, date(2027, 3, day))))

    assert reports.emerged_on == (date(2027, 3, day) if up else None)


@pytest.mark.parametrize(("litres", "counted"), [(60, 60), (None, 0)])
def test_a_dose_given_elsewhere_counts_with_what_is_known_of_its_litres(
    litres: float | None, counted: float
) -> None:
    found = bundle(
        fact(FactKind.ELSEWHERE, SOWN, 1, litres=litres),
        fact(FactKind.ELSEWHERE, date(2027, 3, 17), 1, litres=5),
    )

    reports = read_facts(found)

    assert (reports.given, reports.elsewhere) == ({1: SOWN}, {1: counted})
    assert season_facts(found).told_litres == {1: counted}


def test_a_dose_that_burnt_is_no_dose_of_a_number() -> None:
    reports = read_facts(bundle(fact(FactKind.APPLIED, SOWN), fact(FactKind.NOT_APPLIED, SOWN)))

    assert (reports.given, reports.not_done) == ({0: SOWN}, frozenset())


@pytest.mark.parametrize(
    ("hazards", "decided", "is_open"),
    [
        pytest.param("", None, True, id="no risk"),
        pytest.param("well", None, False, id="a risk"),
        pytest.param("well", LATER, True, id="a risk that a person has looked at"),
    ],
)
def test_ground_at_risk_waits_for_a_person(
    hazards: str, decided: datetime | None, *, is_open: bool
) -> None:
    assert site_is_open(PlotRow(hazards=hazards, site_ok_at=decided)) is is_open


@pytest.mark.parametrize(
    ("dose", "told"),
    [
        pytest.param(a_dose(3, date(2027, 4, 4), told=True), True, id="told"),
        pytest.param(a_dose(3, date(2027, 4, 4)), False, id="not told"),
        pytest.param(a_dose(3, date(2027, 4, 4), litres=0.5, told=True), True, id="half a litre"),
        pytest.param(a_dose(3, date(2027, 4, 4), litres=0, told=True), False, id="nothing"),
        pytest.param(
            a_dose(3, date(2027, 4, 4), state=DoseState.NOT_KNOWN), True, id="over, not told"
        ),
    ],
)
def test_a_dose_keeps_the_litres_that_were_told_or_may_have_been_poured(
    dose: DoseRow, *, told: bool
) -> None:
    assert season_facts(bundle(doses=(dose,))).told_litres == ({3: dose.urine_l} if told else {})


@pytest.mark.parametrize(("chosen", "litres"), [(1.0, 1.0), (None, 1.5)])
def test_a_planting_takes_its_own_litres_or_the_usual(chosen: float | None, litres: float) -> None:
    """1.5 L a square metre is the usual target of the table of rules."""
    assert season_facts(bundle(litres_per_m2=chosen)).litres_per_m2 == litres


@pytest.mark.parametrize(("weekday", "avoided"), [(None, set()), (0, {0}), (4, {4})])
def test_a_households_day_without_work_is_avoided(weekday: int | None, avoided: set[int]) -> None:
    assert season_facts(bundle(avoid_weekday=weekday)).avoided == avoided


@pytest.mark.parametrize(
    ("looked_on", "looked_at", "days"),
    [
        pytest.param(None, None, (10, 16), id="nobody has looked"),
        pytest.param(13, LATER, (10, 12), id="looked: held up to the day before"),
        pytest.param(11, BURNT_AT, (10, 10), id="looked at once, doses go on tomorrow"),
        pytest.param(10, LATER, None, id="looked: not held at all"),
        pytest.param(18, LATER, (10, 16), id="looked after it was over"),
        pytest.param(13, datetime(2027, 4, 10, 7, tzinfo=UTC), (10, 16), id="looked before"),
    ],
)
def test_a_person_who_has_looked_at_burnt_leaves_lets_doses_go_on(
    looked_on: int | None, looked_at: datetime | None, days: tuple[int, int] | None
) -> None:
    looked = (
        []
        if looked_on is None or looked_at is None
        else [fact(FactKind.GO_ON, date(2027, 4, looked_on), at=looked_at)]
    )
    burnt = fact(FactKind.BURNT, date(2027, 4, 10), at=BURNT_AT)

    found = season_facts(bundle(burnt, *looked, holds=(a_hold(10, 16),)))

    expected = (
        []
        if days is None
        else [Hold(first_on=date(2027, 4, days[0]), last_on=date(2027, 4, days[1]))]
    )
    assert list(found.holds) == expected


def test_a_hold_for_rain_stays_when_a_person_has_looked_at_the_leaves() -> None:
    facts = (
        fact(FactKind.BURNT, date(2027, 4, 10), at=BURNT_AT),
        fact(FactKind.GO_ON, date(2027, 4, 12)),
    )
    rain = a_hold(11, 14, at=datetime(2027, 4, 11, 8, 0, tzinfo=UTC))

    found = season_facts(bundle(*facts, holds=(rain,)))

    assert found.holds == (Hold(first_on=date(2027, 4, 11), last_on=date(2027, 4, 14)),)


def test_the_days_held_in_the_area_are_held_on_the_plot_too() -> None:
    area = AreaHoldRow(area_id=3, first_on=date(2027, 4, 1), last_on=date(2027, 4, 2))

    found = season_facts(bundle(holds=(a_hold(10, 10),), area_holds=(area,)))

    assert found.holds == (
        Hold(first_on=date(2027, 4, 10), last_on=date(2027, 4, 10)),
        Hold(first_on=date(2027, 4, 1), last_on=date(2027, 4, 2)),
    )


@pytest.mark.parametrize(
    ("left_out_on", "kept"),
    [
        pytest.param(date(2027, 4, 4), False, id="before the seed after it"),
        pytest.param(date(2027, 4, 5), True, id="on its day"),
        pytest.param(date(2027, 4, 20), True, id="after it"),
    ],
)
def test_what_was_left_out_for_seed_that_never_came_up_is_open_again(
    left_out_on: date, *, kept: bool
) -> None:
    reports = read_facts(
        bundle(
            fact(FactKind.NOT_APPLIED, left_out_on, 2),
            fact(FactKind.RESOWN, date(2027, 4, 5)),
            fact(FactKind.NOT_READY, date(2027, 4, 20), 2),
        )
    )

    assert reports.not_done == ({2} if kept else set())


def test_a_report_that_names_no_dose_leaves_out_no_dose_of_the_seed_after_it() -> None:
    reports = read_facts(
        bundle(
            fact(FactKind.NOT_APPLIED, SOWN, 1),
            fact(FactKind.RESOWN, date(2027, 4, 5)),
            fact(FactKind.NOT_APPLIED, date(2027, 4, 6)),
        )
    )

    assert reports.not_done == {0}


def test_a_dose_given_after_all_on_seed_sown_again_is_not_left_out() -> None:
    reports = read_facts(
        bundle(
            fact(FactKind.RESOWN, date(2027, 4, 5)),
            fact(FactKind.NOT_APPLIED, date(2027, 4, 20), 2),
            fact(FactKind.APPLIED, date(2027, 4, 21), 2),
        )
    )

    assert (reports.not_done, reports.given) == (frozenset(), {2: date(2027, 4, 21)})


@pytest.mark.parametrize(
    ("number", "due_on", "facts", "missed"),
    [
        pytest.param(2, date(2027, 3, 28), [], True, id="nothing is known of the plants"),
        pytest.param(
            2, date(2027, 4, 1), [(FactKind.EMERGED, date(2027, 4, 1))], False, id="the day up"
        ),
        pytest.param(
            2, date(2027, 4, 2), [(FactKind.EMERGED, date(2027, 4, 1))], True, id="the day after"
        ),
        pytest.param(
            2, date(2027, 4, 4), [(FactKind.RESOWN, date(2027, 4, 5))], False, id="earlier seed"
        ),
        pytest.param(
            2, date(2027, 4, 5), [(FactKind.RESOWN, date(2027, 4, 5))], True, id="the day sown"
        ),
        pytest.param(
            2,
            date(2027, 4, 8),
            [(FactKind.RESOWN, date(2027, 4, 5)), (FactKind.EMERGED, date(2027, 4, 10))],
            False,
            id="sown again, not up yet",
        ),
        pytest.param(
            1, SOWN, [(FactKind.RESOWN, date(2027, 4, 5))], True, id="the one at planting"
        ),
    ],
)
def test_a_dose_that_closed_counts_where_there_were_plants_for_it(
    number: int, due_on: date, facts: list[tuple[FactKind, date]], *, missed: bool
) -> None:
    found = season_facts(
        bundle(
            *[fact(kind, on) for kind, on in facts],
            doses=(a_dose(number, due_on, state=DoseState.NOT_KNOWN),),
        )
    )

    assert found.missed == ({number: due_on} if missed else {})
    assert found.told_litres == ({number: 20} if missed else {})


def test_a_closed_dose_that_was_given_is_not_missed() -> None:
    given = fact(FactKind.APPLIED, date(2027, 4, 4), 3)
    closed = a_dose(3, date(2027, 4, 4), state=DoseState.NOT_KNOWN)

    assert season_facts(bundle(given, doses=(closed,))).missed == {}
