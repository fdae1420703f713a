"""Kinds of value that commands take."""

from datetime import date
from fractions import Fraction

import click
import pytest

from service.cli.values import IsoDate, SeasonShare


@pytest.mark.parametrize(
    ("text", "share"),
    [
        pytest.param("2/3", Fraction(2, 3), id="least"),
        pytest.param("3/4", Fraction(3, 4), id="most"),
        pytest.param("0.7", Fraction(7, 10), id="a decimal is exact"),
    ],
)
def test_a_share_of_the_season_is_exact(text: str, share: Fraction) -> None:
    assert SeasonShare().convert(text, None, None) == share


@pytest.mark.parametrize("text", ["2/3 ", "1e-1", "-2/-3", "٢/٣", "66%"])
def test_a_share_in_other_words_is_refused(text: str) -> None:
    with pytest.raises(click.BadParameter, match=r"is no fraction from 2/3 to 3/4\."):
        SeasonShare().convert(text, None, None)


def test_a_date_is_read_as_written() -> None:
    assert IsoDate().convert("2028-02-29", None, None) == date(2028, 2, 29)


@pytest.mark.parametrize("text", ["2027-02-29", "2027-3-5", "20270315", "15/03/2027", "today"])
def test_a_date_in_other_forms_is_refused(text: str) -> None:
    with pytest.raises(click.BadParameter, match=r"is no date; write it like 2027-03-15\."):
        IsoDate().convert(text, None, None)


def test_values_already_read_pass_through() -> None:
    assert IsoDate().convert(date(2027, 3, 15), None, None) == date(2027, 3, 15)
    assert SeasonShare().convert(Fraction(3, 4), None, None) == Fraction(3, 4)
