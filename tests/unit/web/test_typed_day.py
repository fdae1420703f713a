"""Days as people type them: what is taken, and what is not guessed at."""

from datetime import date

import pytest
from babel import Locale
from hypothesis import given
from hypothesis import strategies as st

from service.web.typed_day import read_day

ENGLISH, SWAHILI, FRENCH = Locale("en"), Locale("sw"), Locale("fr")
THE_DAY = date(2027, 3, 27)


@pytest.mark.parametrize(
    "typed",
    [
        "27 3 2027",
        "27/3/2027",
        "27-3-2027",
        "27.3.2027",
        "27 03 2027",
        "27. 3. 2027",
        "27032027",
        "2027-03-27",
        "27 March 2027",
        "27 march 2027",
        "27 Mar 2027",
        "27 Mar. 2027",
        "27. March, 2027",
        "  27   March   2027  ",
    ],
)
def test_a_day_is_read_in_each_way_people_write_it(typed: str) -> None:
    assert read_day(typed, ENGLISH) == THE_DAY


@pytest.mark.parametrize(
    ("typed", "locale"),
    [
        pytest.param("27 Machi 2027", SWAHILI, id="Swahili"),
        pytest.param("27 mac 2027", SWAHILI, id="Swahili, shortened"),
        pytest.param("27 mars 2027", FRENCH, id="French"),
    ],
)
def test_the_month_is_named_in_the_language_of_the_page(typed: str, locale: Locale) -> None:
    assert read_day(typed, locale) == THE_DAY


@pytest.mark.parametrize(
    "typed",
    [
        pytest.param("27 3 27", id="a year of two digits"),
        pytest.param("3 27 2027", id="the month first"),
        pytest.param("March 27 2027", id="a month's name first"),
        pytest.param("31 2 2027", id="a day that February lacks"),
        pytest.param("29 2 2027", id="a leap day of a common year"),
        pytest.param("0 3 2027", id="a day nought"),
        pytest.param("27 3 0000", id="a year nought"),
        pytest.param("2027-W13-6", id="a week date"),
        pytest.param("2027-3-27", id="an ISO date cut short"),
        pytest.param("1_0 3 2027", id="digits with an underscore"),
        pytest.param("٢٧ ٣ ٢٠٢٧", id="Arabic digits"),
        pytest.param("\uff12\uff17 3 2027", id="wide digits"),
        pytest.param("27 Ma 2027", id="a month of two letters"),
        pytest.param("27 Ju 2027", id="a month that may be two"),
        pytest.param("27 Machi 2027", id="a month of another language"),
        pytest.param("27 3", id="no year"),
        pytest.param("today", id="a word"),
        pytest.param("27 3 2027 x", id="more behind it"),
        pytest.param("", id="nothing"),
    ],
)
def test_what_does_not_name_a_day_surely_is_no_day(typed: str) -> None:
    assert read_day(typed, ENGLISH) is None


def test_a_month_that_three_letters_leave_open_is_no_month() -> None:
    """French juin and juillet both begin with jui."""
    assert read_day("27 jui 2027", FRENCH) is None


def test_a_leap_day_is_a_day() -> None:
    assert read_day("29 2 2028", ENGLISH) == date(2028, 2, 29)


@given(
    on=st.dates(min_value=date(1000, 1, 1)),
    written=st.sampled_from(["{0.day} {0.month} {0.year}", "{0:%d%m%Y}", "{0:%Y-%m-%d}"]),
)
def test_every_day_reads_back_as_it_was_written(on: date, written: str) -> None:
    assert read_day(written.format(on), ENGLISH) == on


@given(typed=st.text())
def test_no_text_breaks_the_reading(typed: str) -> None:
    found = read_day(typed, SWAHILI)

    assert found is None or isinstance(found, date)
