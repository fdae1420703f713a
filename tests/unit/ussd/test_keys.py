"""What counts of an input, and what of it is a path."""

import pytest

from service.ussd.keys import inputs_of, path_of


@pytest.mark.parametrize(
    ("typed", "inputs"),
    [
        pytest.param("1", ("1",), id="a digit"),
        pytest.param(" 1 ", ("1",), id="blanks"),
        pytest.param("1#", ("1",), id="a hash"),
        pytest.param("*1#", ("1",), id="a star and a hash"),
        pytest.param("1*2*1", ("1", "2", "1"), id="several"),
        pytest.param("1 * 2", ("1", "2"), id="several with blanks"),
        pytest.param("", (), id="nothing"),
        pytest.param(" \t*#", (), id="nothing that counts"),
        pytest.param("12", ("12",), id="two digits are one input"),
        pytest.param("\u0661", ("1",), id="a digit of another script"),
        pytest.param("yes", ("yes",), id="letters are kept, to be refused"),
    ],
)
def test_blanks_stars_and_hashes_do_not_count(typed: str, inputs: tuple[str, ...]) -> None:
    assert inputs_of(typed) == inputs


@pytest.mark.parametrize(
    ("dialled", "code", "path"),
    [
        pytest.param("", "*150#", (), id="nothing behind the code"),
        pytest.param("1*2*1", "*150#", ("1", "2", "1"), id="behind the code"),
        pytest.param("*150*2*1#", "*150#", ("2", "1"), id="the whole string"),
        pytest.param("*150*2*1#", "", ("2", "1"), id="the whole string, the code not told"),
        pytest.param("*150*7*2#", "*150*7#", ("2",), id="a longer code"),
        pytest.param("*150#", "*150#", (), id="the code alone"),
        pytest.param("*2*1", "*150#", ("2", "1"), id="stars before each"),
        pytest.param("150*1", "*150#", ("150", "1"), id="no star: no code in it"),
    ],
)
def test_a_path_is_what_was_dialled_behind_the_code(
    dialled: str, code: str, path: tuple[str, ...]
) -> None:
    assert path_of(dialled, code) == path
