"""What is said once of a crop: from which evening, up to which, and of which plots."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from service.agronomy.dosing import Season
from service.planning.allotting import Planned
from service.planning.crop_notices import crop_notices, emergence_questions
from service.planning.planner import Notice
from service.records.fields import DoseState, FactKind
from service.records.localities import SeasonSpanRow
from service.records.locality_book import LocalityBook
from service.records.plantings import PlantingBundle
from tests.unit.planning.edges import HOME, SOWN, a_board, a_dose, a_fact, a_home, a_row, planted

TODAY = date(2027, 4, 10)
LONG_BEFORE = datetime(2027, 1, 10, 9, 0, tzinfo=UTC)


def said(
    *own: Planned, today: date = TODAY, ended: Sequence[PlantingBundle] = (), home: int = HOME
) -> list[Notice]:
    return crop_notices(a_board(*own, today=today, ended=ended), {home}, own)


def test_whether_plants_are_up_is_asked_for_a_week_from_the_assumed_day() -> None:
    (asked,) = emergence_questions([planted(emergence_on=date(2027, 3, 21))])

    assert (asked.first_on, asked.last_on) == (date(2027, 3, 21), date(2027, 3, 27))
    assert (asked.kind, asked.key) == ("emerge_q", "emerge_q:9")


def test_seed_sown_again_is_asked_about_again() -> None:
    again = planted(facts=[a_fact(FactKind.RESOWN, date(2027, 4, 5))])

    assert [asked.key for asked in emergence_questions([again])] == ["emerge_q:9:2027-04-05"]


@pytest.mark.parametrize(
    "own",
    [
        pytest.param(planted(emergence_assumed=False), id="known to be up"),
        pytest.param(planted(crop="tomato"), id="set out as seedlings"),
        pytest.param(planted(letter=None), id="no letter to answer with"),
    ],
)
def test_there_are_plants_that_nobody_is_asked_about(own: Planned) -> None:
    assert emergence_questions([own]) == []


@pytest.mark.parametrize(
    ("recorded_at", "last_on"),
    [
        pytest.param(LONG_BEFORE, date(2027, 3, 26), id="up to two days before the first dose"),
        pytest.param(
            datetime(2027, 3, 20, 9, 0, tzinfo=UTC),
            date(2027, 4, 3),
            id="or two weeks for who joins",
        ),
    ],
)
def test_a_season_opens_ten_days_before_its_first_dose(
    recorded_at: datetime, last_on: date
) -> None:
    """Ten days and two weeks are project choices."""
    doses = [a_dose(1, date(2027, 3, 28)), a_dose(2, date(2027, 4, 4))]

    (opens,) = said(planted(doses=doses, recorded_at=recorded_at))

    assert (opens.kind, opens.key) == ("season_opens", "season_opens:9")
    assert (opens.first_on, opens.last_on) == (date(2027, 3, 18), last_on)


@pytest.mark.parametrize(
    "own", [planted(), planted(letter=None, doses=[a_dose(1, SOWN)])], ids=["no dose", "no letter"]
)
def test_a_season_without_a_dose_or_a_letter_is_not_announced(own: Planned) -> None:
    assert said(own) == []


def a_go_on(*days: int, letter: str | None = "A", state: DoseState = DoseState.PLANNED) -> Planned:
    rows = [
        a_row(2, date(2027, 4, 4), state=DoseState.DONE),
        a_row(3, date(2027, 4, 14), state=state),
        a_row(4, date(2027, 4, 21), state=state),
    ]
    facts = [a_fact(FactKind.GO_ON, date(2027, 4, day)) for day in days]
    return planted(letter=letter, rows=rows, facts=facts)


def test_doses_that_go_on_are_told_for_a_week_with_the_next_one() -> None:
    (told,) = said(a_go_on(12))

    assert (told.kind, told.key) == ("burn_on", "burn_on:9:2027-04-12")
    assert (told.first_on, told.last_on) == (date(2027, 4, 12), date(2027, 4, 18))
    assert told.fields == {"plot": "A", "code": "A3", "day": "2027-04-14"}


def test_the_last_look_at_the_plants_is_told() -> None:
    (told,) = said(a_go_on(10, 12, 13))

    assert (told.key, told.first_on) == ("burn_on:9:2027-04-13", date(2027, 4, 13))


@pytest.mark.parametrize(
    "own",
    [
        pytest.param(a_go_on(), id="nobody has looked"),
        pytest.param(a_go_on(12, letter=None), id="no letter"),
        pytest.param(a_go_on(12, state=DoseState.DONE), id="no dose left"),
    ],
)
def test_nothing_goes_on_without_a_look_a_letter_or_a_dose(own: Planned) -> None:
    assert [told for told in said(own) if told.kind == "burn_on"] == []


def a_book(*spans: tuple[Season, date]) -> LocalityBook:
    rows = [
        SeasonSpanRow(area_id=None, season=season, first_on=first_on, last_on=date(2027, 12, 31))
        for season, first_on in spans
    ]
    return LocalityBook(holds=(), spans=tuple(rows), values=(), store_c={3: 24})


DRY_NOW = a_book((Season.DRY, date(2027, 4, 8)))
OPEN = (a_dose(2, date(2027, 4, 4)), a_dose(3, date(2027, 4, 12)))


def water(*own: Planned) -> list[Notice]:
    return [notice for notice in said(*own) if notice.kind in ("to_water", "to_neat")]


def test_the_dry_season_is_told_for_a_week_with_two_parts_of_water() -> None:
    """Two parts in the dry season, none in the rains: common practice, no source."""
    (told,) = water(planted(book=DRY_NOW, doses=OPEN))

    assert (told.kind, told.key) == ("to_water", "to_water:6:dry:2027-04-08")
    assert (told.first_on, told.last_on) == (date(2027, 4, 8), date(2027, 4, 14))
    assert told.fields == {"order": ["A"], "ratio": 2}


def test_the_rains_are_told_without_a_ratio() -> None:
    book = a_book((Season.DRY, date(2027, 3, 1)), (Season.RAINS, date(2027, 4, 8)))

    (told,) = water(planted(book=book, doses=OPEN))

    assert (told.key, told.fields) == ("to_neat:6:rains:2027-04-08", {"order": ["A"]})


def test_less_water_is_still_water() -> None:
    book = a_book((Season.DRY, date(2027, 3, 1)), (Season.RAINS, date(2027, 4, 8)))

    (told,) = water(planted(book=book, doses=OPEN, water_ratio=1))

    assert (told.key, told.fields) == ("to_water:6:dry:2027-04-08", {"order": ["A"], "ratio": 1})


@pytest.mark.parametrize(
    ("first_on", "told"),
    [
        pytest.param(date(2027, 4, 3), False, id="a week ago"),
        pytest.param(date(2027, 4, 4), True, id="six days ago"),
        pytest.param(TODAY, True, id="today"),
        pytest.param(date(2027, 4, 11), False, id="tomorrow"),
    ],
)
def test_a_season_is_told_from_its_first_day_for_a_week(first_on: date, *, told: bool) -> None:
    assert bool(water(planted(book=a_book((Season.DRY, first_on)), doses=OPEN))) is told


def test_only_the_newest_season_is_told() -> None:
    book = a_book((Season.RAINS, date(2027, 4, 5)), (Season.DRY, date(2027, 4, 8)))

    assert [told.first_on for told in water(planted(book=book, doses=OPEN))] == [date(2027, 4, 8)]


def test_a_season_that_begins_tomorrow_does_not_silence_this_one() -> None:
    book = a_book((Season.DRY, date(2027, 4, 8)), (Season.RAINS, date(2027, 4, 11)))

    assert [told.kind for told in water(planted(book=book, doses=OPEN))] == ["to_water"]


def test_the_days_before_the_season_decide_whether_it_changes_anything() -> None:
    one_day = SeasonSpanRow(
        area_id=None, season=Season.DRY, first_on=date(2027, 4, 7), last_on=date(2027, 4, 7)
    )
    book = replace(DRY_NOW, spans=(one_day, *DRY_NOW.spans))

    assert water(planted(book=book, doses=OPEN)) == []
    before = replace(book, spans=(replaced(one_day, date(2027, 4, 6)), *DRY_NOW.spans))
    assert [told.kind for told in water(planted(book=before, doses=OPEN))] == ["to_water"]


def replaced(row: SeasonSpanRow, day: date) -> SeasonSpanRow:
    return SeasonSpanRow(area_id=None, season=row.season, first_on=day, last_on=day)


@pytest.mark.parametrize(
    ("planted_on", "told"), [(date(2027, 4, 7), True), (date(2027, 4, 8), False)]
)
def test_a_planting_sown_in_the_season_knows_no_other_water(
    planted_on: date, *, told: bool
) -> None:
    assert bool(water(planted(book=DRY_NOW, doses=OPEN, planted_on=planted_on))) is told


@pytest.mark.parametrize(
    ("own", "told"),
    [
        pytest.param([a_dose(3, TODAY)], True, id="today"),
        pytest.param([a_dose(3, date(2027, 4, 9))], False, id="yesterday"),
        pytest.param([a_dose(3, date(2027, 4, 12), given_on=TODAY)], False, id="given"),
        pytest.param([], False, id="none"),
    ],
)
def test_water_is_only_spoken_of_where_a_dose_is_still_to_come(
    own: list[object], *, told: bool
) -> None:
    assert bool(water(planted(book=DRY_NOW, doses=own))) is told  # type: ignore[arg-type]  # -- doses all


def test_all_plots_that_the_water_touches_are_told_together_by_letter() -> None:
    own = [
        planted(planting=1, letter="B", book=DRY_NOW, doses=OPEN),
        planted(planting=2, letter=None, book=DRY_NOW, doses=OPEN),
        planted(planting=3, letter="A", book=DRY_NOW, doses=OPEN, home=a_home(7)),
    ]

    (told,) = water(*own)

    assert (told.key, told.fields["order"]) == ("to_water:6:dry:2027-04-08", ["A", "B"])


def fed(*states: DoseState, letter: str | None = "A", first_on: date = TODAY) -> Planned:
    rows = [
        a_row(number, date(2027, 3, 10 + number), state=state)
        for number, state in enumerate(states, start=1)
    ]
    given = [
        a_fact(FactKind.APPLIED, row.due_on, row.number)
        for row in rows
        if row.state is DoseState.DONE
    ]
    return planted(letter=letter, rows=rows, facts=given, first_harvest_on=first_on)


@pytest.mark.parametrize(
    ("ripe_on", "first_on", "wait"),
    [
        pytest.param(date(2027, 4, 1), date(2027, 4, 10), 30, id="a month after the last dose"),
        pytest.param(date(2027, 5, 1), date(2027, 5, 1), 51, id="or when the crop is ripe"),
    ],
)
def test_a_harvest_is_told_for_a_week_from_the_day_it_is_safe_and_ripe(
    ripe_on: date, first_on: date, wait: int
) -> None:
    """A month between dose and harvest: WHO 2006, vol. 4."""
    (told,) = said(fed(DoseState.DONE, DoseState.NOT_DONE, first_on=ripe_on))

    assert (told.kind, told.key) == ("harvest_ok", "harvest_ok:9")
    assert (told.first_on, told.fields["wait"]) == (first_on, wait)
    assert (told.last_on - told.first_on).days == 6


@pytest.mark.parametrize(
    "own",
    [
        pytest.param(fed(DoseState.DONE, DoseState.PLANNED), id="a dose is still to come"),
        pytest.param(fed(DoseState.NOT_DONE, DoseState.DROPPED), id="nothing was given"),
        pytest.param(fed(DoseState.DONE, letter=None), id="no letter"),
    ],
)
def test_no_harvest_is_told_while_it_is_not_known_to_be_safe(own: Planned) -> None:
    assert said(own) == []


def harvested(*, letter: str | None = "A", home: int = HOME, told: bool = True) -> PlantingBundle:
    facts = [a_fact(FactKind.HARVESTED, date(2027, 4, 8))] if told else []
    rows = [
        a_row(1, SOWN, state=DoseState.DONE, litres=20),
        a_row(2, date(2027, 3, 28), state=DoseState.DONE, litres=21.5),
        a_row(3, date(2027, 4, 4), state=DoseState.NOT_KNOWN, litres=22),
        a_row(4, date(2027, 4, 11), state=DoseState.DROPPED, litres=23),
    ]
    return planted(letter=letter, home=a_home(home), facts=facts, rows=rows).bundle


def test_a_season_ends_with_what_was_given_of_what_was_to_be_given() -> None:
    (told,) = said(ended=[harvested()])

    assert (told.kind, told.key) == ("season_result", "season_result:9")
    assert (told.first_on, told.last_on) == (date(2027, 4, 8), date(2027, 4, 14))
    assert told.fields == {
        "plot": "A",
        "crop": "maize-grain",
        "done": 2,
        "of": 3,
        "litres": 41.5,
    }


@pytest.mark.parametrize(
    "ended",
    [
        pytest.param(harvested(letter=None), id="no letter"),
        pytest.param(harvested(told=False), id="lost, not harvested"),
        pytest.param(harvested(home=7), id="another phone's household"),
    ],
)
def test_there_are_seasons_whose_end_is_not_told(ended: PlantingBundle) -> None:
    assert said(ended=[ended]) == []
