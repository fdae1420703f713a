"""Typed numbers and senders."""

import pytest

from service.messages.phone import (
    SENTENCES,
    PhoneRefusedError,
    is_person,
    masked_number,
    parse_phone,
    shown_number,
)

TEST_NUMBERS = frozenset({"+255100000001"})


def _parse(typed: str) -> str:
    return parse_phone(
        typed, region="TZ", allowed_countries=("TZ", "KE"), test_numbers=TEST_NUMBERS
    )


@pytest.mark.parametrize(
    "typed",
    [
        pytest.param("0621234567", id="local"),
        pytest.param("0621 234 567", id="local with blanks"),
        pytest.param(" (0621) 234-567 ", id="local with signs"),
        pytest.param("+255 621 234 567", id="international"),
        pytest.param("255621234567", id="country code without plus"),
        pytest.param("00255621234567", id="country code after two zeros"),
        pytest.param("٠٦٢١٢٣٤٥٦٧", id="native digits"),
    ],
)
def test_one_number_typed_in_many_ways_is_stored_in_one(typed: str) -> None:
    """The number is phonenumbers' own example of a mobile number for TZ."""
    assert _parse(typed) == "+255621234567"


@pytest.mark.parametrize("typed", ["+255100000001", "0100 000 001", "255100000001"])
def test_a_test_number_passes_although_no_operator_has_it(typed: str) -> None:
    assert _parse(typed) == "+255100000001"


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        pytest.param("", "phone-unreadable", id="nothing"),
        pytest.param("call me", "phone-unreadable", id="words"),
        pytest.param("0621 FLOWER", "phone-unreadable", id="letters for digits"),
        pytest.param("0621234567 x12", "phone-unreadable", id="extension"),
        pytest.param("15050", "phone-short-code", id="short code"),
        pytest.param("+25515050", "phone-too-short", id="short code behind a country code"),
        pytest.param("621 234 56", "phone-too-short", id="a digit missing"),
        pytest.param("0621 234 56", "phone-not-assigned", id="nine digits with the zero"),
        pytest.param("0621 234", "phone-too-short", id="three digits missing"),
        pytest.param("0621 234 5678", "phone-too-long", id="a digit too many"),
        pytest.param("+255100000002", "phone-not-assigned", id="no operator's range"),
        pytest.param("+999 621234567", "phone-unreadable", id="no country"),
        pytest.param("+256712345678", "phone-other-country", id="country not served"),
        pytest.param("+255222345678", "phone-not-mobile", id="fixed line"),
    ],
)
def test_a_number_that_cannot_get_texts_is_refused_with_what_to_do(typed: str, code: str) -> None:
    with pytest.raises(PhoneRefusedError) as refused:
        _parse(typed)

    assert refused.value.code == code
    assert refused.value.sentence == SENTENCES[code]
    assert not any(character.isdigit() for character in refused.value.sentence)


@pytest.mark.parametrize(
    ("sender", "expected"),
    [
        pytest.param("+255621234567", True, id="mobile"),
        pytest.param("+255100000001", True, id="range that no table knows"),
        pytest.param("+298211234", True, id="nine digits"),
        pytest.param("NETCALL", False, id="name"),
        pytest.param("15050", False, id="short code"),
        pytest.param("+25515050", False, id="short code behind a country code"),
        pytest.param("0621234567", False, id="without plus"),
        pytest.param("+2551000000012345", False, id="longer than E.164"),
        pytest.param("+٢٥٥٦٢١٢٣٤٥٦٧", False, id="native digits never come from a network"),
        pytest.param("+255621234567\n", False, id="line break behind"),
        pytest.param("", False, id="nothing"),
    ],
)
def test_a_person_writes_from_a_whole_number(sender: str, *, expected: bool) -> None:
    assert is_person(sender) is expected


@pytest.mark.parametrize(
    ("stored", "shown", "masked"),
    [
        ("+255621234567", "+255 621 234 567", "+255 ••• ••• 567"),
        ("+255100000001", "+255 100000001", "+255 ••••••001"),
        ("+999123456789", "+999123456789", "+•••••••••789"),
        ("15050", "15050", "15050"),
        ("CLINIC", "CLINIC", "CLINIC"),
    ],
    ids=["mobile", "test number", "no country's", "short code", "name"],
)
def test_a_number_is_shown_in_groups_and_masked_but_for_its_end(
    stored: str, shown: str, masked: str
) -> None:
    assert (shown_number(stored), masked_number(stored)) == (shown, masked)
