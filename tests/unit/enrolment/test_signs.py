"""Letters, numbers, codes and labels that are still free."""

import pytest

from service.enrolment.signs import label_for, next_code, next_letter, next_member, next_number


def test_letters_are_given_out_in_the_order_of_the_keys_until_none_is_left() -> None:
    given: list[str | None] = []
    for _ in range(9):
        given.append(next_letter(given))

    assert given == ["A", "D", "G", "J", "M", "P", "T", "W", None]


def test_can_numbers_fill_the_gaps_and_end_with_two_digits() -> None:
    assert next_number([]) == 1
    assert next_number([1, 2, 4]) == 3
    assert next_number(range(1, 99)) == 99
    assert next_number(range(1, 100)) is None


@pytest.mark.parametrize(
    ("taken", "code"),
    [
        ([], "001"),
        (["001", "002"], "003"),
        (["H01", "007"], "008"),
        (["999"], "1000"),
        (["7"], "008"),
    ],
    ids=["first", "next", "after letters", "past three digits", "unpadded"],
)
def test_a_code_is_the_number_after_the_highest(taken: list[str], code: str) -> None:
    assert next_code(taken) == code


def test_a_code_is_never_one_that_stands_padded_otherwise() -> None:
    assert next_code(["8", "009"]) == "010"


def test_plots_count_on_within_a_household() -> None:
    assert next_member("P", []) == "P1"
    assert next_member("P", ["P1", "P3"]) == "P2"


@pytest.mark.parametrize(
    ("alias", "label"),
    [
        ("Asha", "Asha"),
        ("Mango corner by the mill", "Mango co"),
        ("Sãra Ñandú", "Sara Ñan"),
        ("小屋", "042"),
        ("  !? ", "042"),
        ("A{B}", "AB"),
    ],
    ids=["short", "cut", "made plain", "other script", "no letters", "marks left out"],
)
def test_a_label_is_made_from_the_alias_in_eight_septets(alias: str, label: str) -> None:
    assert label_for(alias, code="042", taken=()) == label


def test_a_label_that_is_taken_gets_a_number_whatever_its_case() -> None:
    assert label_for("Asha", code="042", taken=["ASHA"]) == "Asha2"
    assert label_for("Asha", code="042", taken=["asha", "Asha2"]) == "Asha3"
    assert label_for("Mango corner", code="042", taken=["Mango co"]) == "Mango c2"
