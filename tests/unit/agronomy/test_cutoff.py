"""The first harvest and the last day for a dose."""

from datetime import date
from fractions import Fraction

import pytest

from service.agronomy.crops import crop
from service.agronomy.cutoff import CutoffRule, cutoff, first_harvest

PLANTED_ON = date(2027, 3, 15)


@pytest.mark.parametrize(
    ("crop_id", "season_days", "known_on", "expected"),
    [
        pytest.param("maize-grain", 125, None, date(2027, 7, 18), id="once, at the end"),
        pytest.param("maize-grain", 100, None, date(2027, 6, 23), id="once, a season of its own"),
        pytest.param("okra", 120, None, date(2027, 5, 9), id="picked from day 55"),
        pytest.param("okra", 50, None, date(2027, 5, 4), id="never after the end"),
        pytest.param("okra", 120, date(2027, 5, 1), date(2027, 5, 1), id="known"),
        pytest.param("okra", 50, date(2027, 6, 1), date(2027, 5, 4), id="known, after the end"),
    ],
)
def test_the_first_harvest_is_known_or_usual(
    crop_id: str, season_days: int, known_on: date | None, expected: date
) -> None:
    found = first_harvest(crop(crop_id), PLANTED_ON, season_days=season_days, known_on=known_on)

    assert found == expected


@pytest.mark.parametrize(
    ("season_days", "share", "on", "rule"),
    [
        pytest.param(
            125, Fraction(2, 3), date(2027, 6, 6), CutoffRule.SHARE_OF_SEASON, id="long season"
        ),
        pytest.param(80, Fraction(2, 3), date(2027, 5, 4), CutoffRule.ONE_MONTH, id="short"),
        pytest.param(90, Fraction(2, 3), date(2027, 5, 14), CutoffRule.SHARE_OF_SEASON, id="tie"),
        pytest.param(
            130, Fraction(7, 10), date(2027, 6, 14), CutoffRule.SHARE_OF_SEASON, id="91, not 90"
        ),
    ],
)
def test_the_earlier_of_two_rules_ends_the_doses(
    season_days: int, share: Fraction, on: date, rule: CutoffRule
) -> None:
    harvest_on = first_harvest(
        crop("maize-grain"), PLANTED_ON, season_days=season_days, known_on=None
    )

    end = cutoff(PLANTED_ON, season_days=season_days, first_harvest_on=harvest_on, share=share)

    assert (end.on, end.rule) == (on, rule)
