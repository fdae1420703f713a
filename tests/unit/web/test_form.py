"""A form as it was sent: what is typed is kept, read strictly, and what is wrong is said."""

from collections.abc import Callable
from datetime import date
from enum import StrEnum

import pytest
from babel import Locale
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import BadRequest

from service.web.form import Form

ENGLISH = Locale("en")
KEY = "a-form-key-of-one-page"


class Soil(StrEnum):
    """A choice of a form."""

    NORMAL = "normal"
    DRY = "dry"


def a_form(**typed: str) -> Form:
    """Return a form as a browser sent it."""
    return Form.of(MultiDict({"form_key": KEY, "csrf_token": "x"} | typed), locale=ENGLISH)


def faults(form: Form) -> dict[str, str]:
    """Return what is said beside each field, in English."""
    return {name: fault.text % fault.values for name, fault in form.faults.items()}


def test_what_was_typed_is_kept_without_the_forms_own_fields() -> None:
    form = a_form(name=" Neema ", on="31 2 2027")

    assert dict(form.typed) == {"name": "Neema", "on": "31 2 2027"}
    assert form.key == KEY


@pytest.mark.parametrize(
    "key", ["", "short", "with blanks in the key", "k" * 65, "<b>not a key at all</b>"]
)
def test_a_key_that_we_never_gave_is_replaced(key: str) -> None:
    form = a_form(form_key=key)

    assert form.key != key
    assert len(form.key) >= 43


def test_two_fresh_forms_have_two_keys() -> None:
    assert Form(locale=ENGLISH).key != Form(locale=ENGLISH).key


def test_a_field_that_stands_twice_is_refused() -> None:
    with pytest.raises(BadRequest):
        Form.of(MultiDict([("area", "1"), ("area", "2")]), locale=ENGLISH)


def test_a_form_that_comes_back_after_a_sign_in_is_known() -> None:
    assert a_form(resume="yes").resumed
    assert not a_form().resumed


def test_reading_a_sound_form_notes_no_fault() -> None:
    form = a_form(name="Blue Door", on="27 3 2027", litres="12,5", cups="3", soil="dry", sure="yes")

    read = (
        form.text("name", most=60),
        form.day("on"),
        form.number("litres", least=0, most=100),
        form.whole_or_blank("cups", least=0, most=9),
        form.choice("soil", Soil),
        form.one_of("soil", ["dry"]),
        form.yes("sure"),
    )

    assert read == ("Blue Door", date(2027, 3, 27), 12.5, 3, Soil.DRY, "dry", True)
    assert form.sound


@pytest.mark.parametrize(
    "read",
    [
        pytest.param(lambda form: form.text_or_blank("gone", most=9) == "", id="text"),
        pytest.param(lambda form: form.day_or_blank("gone") is None, id="day"),
        pytest.param(lambda form: form.number_or_blank("gone", least=1, most=2) is None, id="n"),
        pytest.param(lambda form: form.whole_or_blank("gone", least=1, most=2) is None, id="whole"),
        pytest.param(lambda form: form.choice_or_blank("gone", Soil) is None, id="choice"),
        pytest.param(lambda form: not form.yes("gone"), id="tick"),
    ],
)
def test_a_field_that_may_be_blank_is_no_fault_when_it_is(read: Callable[[Form], bool]) -> None:
    form = a_form()

    assert read(form)
    assert form.sound


@pytest.mark.parametrize(
    ("read", "said"),
    [
        pytest.param(lambda form: form.text("gone", most=9), "Fill this in.", id="text"),
        pytest.param(
            lambda form: form.day("gone"),
            "Type the date like 27 March 2027 or 27/3/2027.",
            id="day",
        ),
        pytest.param(
            lambda form: form.number("gone", least=1, most=2),
            "Write a number from 1 to 2.",
            id="number",
        ),
        pytest.param(
            lambda form: form.choice("gone", Soil), "Choose one of this list.", id="choice"
        ),
    ],
)
def test_a_field_that_must_be_filled_says_so(read: Callable[[Form], object], said: str) -> None:
    form = a_form()

    assert read(form) is None
    assert faults(form) == {"gone": said}
    assert not form.sound


@pytest.mark.parametrize(
    "typed",
    [
        pytest.param("1e9", id="exponent"),
        pytest.param("nan", id="not a number"),
        pytest.param("inf", id="no end"),
        pytest.param("-5", id="below nought"),
        pytest.param("\uff11\uff10", id="wide digits"),
        pytest.param("\u0661\u0660", id="Arabic digits"),
        pytest.param("1_0", id="underscore"),
        pytest.param("10,5,1", id="two commas"),
        pytest.param("1.", id="a point and nothing"),
        pytest.param("0.99", id="just below"),
        pytest.param("100.01", id="just above"),
        pytest.param("ten", id="a word"),
    ],
)
def test_what_is_no_number_of_the_range_says_the_range(typed: str) -> None:
    form = a_form(area=typed)

    assert form.number("area", least=1, most=100) is None
    assert faults(form) == {"area": "Write a number from 1 to 100."}
    assert form.value("area") == typed


@pytest.mark.parametrize(("typed", "read"), [("1", 1), ("100", 100), ("0010,50", 10.5)])
def test_a_number_is_taken_to_the_ends_of_its_range(typed: str, read: float) -> None:
    assert a_form(area=typed).number("area", least=1, most=100) == read


def test_a_part_of_one_is_no_whole_number() -> None:
    form = a_form(people="2.5")

    assert form.whole_or_blank("people", least=0, most=30) is None
    assert faults(form) == {"people": "Write a whole number from 0 to 30."}


@pytest.mark.parametrize("typed", ["31 2 2027", "2027-W13-6", "27 3 27", "1_0 3 2027"])
def test_a_day_that_cannot_be_read_is_said_and_kept(typed: str) -> None:
    form = a_form(on=typed)

    assert form.day_or_blank("on") is None
    assert faults(form) == {"on": "Type the date like 27 March 2027 or 27/3/2027."}
    assert form.value("on") == typed


@pytest.mark.parametrize(
    "typed", ["a\nb", "a\tb", "a\0b", "a\x1bb"], ids=["line", "tab", "nul", "escape"]
)
def test_a_line_holds_no_keys_that_write_nothing(typed: str) -> None:
    form = a_form(name=typed)

    assert form.text("name", most=60) is None
    assert faults(form) == {"name": "Write it on one line, without tabs or special keys."}


def test_a_long_line_says_how_long_it_may_be() -> None:
    form = a_form(name="x" * 61)

    assert form.text("name", most=60) is None
    assert faults(form) == {"name": "Shorten this to 60 letters or fewer."}


def test_a_letter_in_two_parts_counts_as_one() -> None:
    """Unicode: e and a combining acute accent are the same letter as é."""
    assert a_form(name="e\u0301" * 60).text("name", most=60) == "é" * 60


def test_only_what_was_offered_can_be_chosen() -> None:
    form = a_form(soil="salty", plot="9")

    assert form.choice("soil", Soil) is None
    assert form.one_of("plot", ["1", "2"]) is None
    assert faults(form) == dict.fromkeys(("soil", "plot"), "Choose one of this list.")


@pytest.mark.parametrize("typed", ["no", "on", "YES", "1"])
def test_a_box_is_ticked_by_its_own_value_only(typed: str) -> None:
    assert not a_form(sure=typed).yes("sure")


def test_the_first_fault_of_a_field_stands() -> None:
    form = a_form(area="x")

    form.number("area", least=1, most=9)
    form.number("area", least=1, most=5)

    assert faults(form) == {"area": "Write a number from 1 to 9."}


@given(typed=st.text())
def test_no_text_breaks_a_field(typed: str) -> None:
    form = a_form(field=typed)

    number = form.number_or_blank("field", least=1, most=10)
    form.day_or_blank("field")
    line = form.text_or_blank("field", most=60)

    assert number is None or 1 <= number <= 10
    assert line is None or len(line) <= 60


@pytest.mark.parametrize("typed", ["2,500", "1,000,000", "1,500"])
def test_a_comma_that_may_stand_between_thousands_is_asked_about(typed: str) -> None:
    form = a_form(area=typed)

    assert form.number("area", least=1, most=10_000_000) is None
    assert faults(form) == {"area": "Write it without a comma between thousands, like 2500."}


@pytest.mark.parametrize(("typed", "read"), [("0,500", 0.5), ("1,25", 1.25), ("1,2500", 1.25)])
def test_a_comma_that_can_only_stand_for_parts_is_taken_so(typed: str, read: float) -> None:
    assert a_form(area=typed).number("area", least=0, most=100) == read
