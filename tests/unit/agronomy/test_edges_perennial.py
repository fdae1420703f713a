"""Rains and years where a perennial's doses stand at an edge."""

from datetime import date

from service.agronomy.dosing import Season
from service.agronomy.perennial import Rain, perennial_days, perennial_pattern
from service.agronomy.watering import SeasonSpan

LONG = Rain(first_on=date(2027, 3, 1), last_on=date(2027, 5, 31))
SHORT = Rain(first_on=date(2027, 10, 10), last_on=date(2027, 12, 10))
ALL_YEAR = SeasonSpan(season=Season.RAINS, first_on=date(2027, 1, 1), last_on=date(2027, 12, 31))
LONG_RAINS = SeasonSpan(season=Season.RAINS, first_on=LONG.first_on, last_on=LONG.last_on)


def test_a_rain_of_one_day_is_a_rain_with_no_dose_in_it() -> None:
    assert perennial_days([Rain(first_on=date(2027, 3, 1), last_on=date(2027, 3, 1))], []) == ()


def test_a_spell_that_touches_the_second_rain_belongs_to_that_one() -> None:
    begun = Rain(first_on=SHORT.first_on, last_on=date(2027, 11, 20))
    ended = Rain(first_on=date(2027, 11, 21), last_on=SHORT.last_on)

    assert perennial_days([LONG, begun, ended], []) == perennial_days([LONG, SHORT], [])


def test_a_dry_day_between_two_spells_makes_them_two_rains() -> None:
    """Two fortnights are counted, from 1 March and from 11 April."""
    begun = Rain(first_on=LONG.first_on, last_on=date(2027, 4, 9))
    ended = Rain(first_on=date(2027, 4, 11), last_on=LONG.last_on)

    assert perennial_days([begun, ended], []) == (
        date(2027, 3, 15),
        date(2027, 4, 25),
        date(2027, 5, 25),
    )


def test_a_year_has_nine_doses_at_most() -> None:
    """A reply names a dose with one digit; the rains alone would give twelve."""
    found = perennial_pattern(
        [ALL_YEAR], first_on=date(2027, 1, 1), last_on=date(2027, 12, 31), pick_on=None
    )

    assert list(found) == [1, 2, 3, 4, 5, 6, 7, 8, 9]


def test_a_year_holds_the_doses_of_its_first_and_last_day() -> None:
    """The long rains have doses on 15 March, 14 April and 14 May."""
    whole = perennial_pattern(
        [LONG_RAINS], first_on=date(2027, 3, 15), last_on=date(2027, 5, 14), pick_on=None
    )
    shorter = perennial_pattern(
        [LONG_RAINS], first_on=date(2027, 3, 16), last_on=date(2027, 5, 13), pick_on=None
    )

    assert whole == {1: date(2027, 3, 15), 2: date(2027, 4, 14), 3: date(2027, 5, 14)}
    assert shorter == {1: date(2027, 4, 14)}


def test_dry_seasons_have_no_dose_and_a_picking_takes_one_out() -> None:
    dry = SeasonSpan(season=Season.DRY, first_on=date(2027, 6, 1), last_on=date(2027, 9, 30))

    found = perennial_pattern(
        [LONG_RAINS, dry],
        first_on=date(2027, 1, 1),
        last_on=date(2027, 12, 31),
        pick_on=date(2027, 4, 20),
    )

    assert found == {1: date(2027, 3, 15), 2: date(2027, 5, 14)}
