"""Numbers against the example numbers that phonenumbers carries for each country."""

import phonenumbers
import pytest
from phonenumbers import PhoneNumberFormat, PhoneNumberType

from service.messages.phone import (
    PhoneRefusedError,
    is_person,
    masked_number,
    parse_phone,
    shown_number,
)

SERVED = ("BI", "ET", "KE", "MW", "MZ", "NP", "RW", "TZ", "UG", "ZM")


def _example(region: str, kind: int, form: int) -> str:
    number = phonenumbers.example_number_for_type(region, kind)
    assert number is not None
    return phonenumbers.format_number(number, form)


@pytest.mark.parametrize("region", SERVED)
@pytest.mark.parametrize(
    "form",
    [
        pytest.param(PhoneNumberFormat.NATIONAL, id="national"),
        pytest.param(PhoneNumberFormat.INTERNATIONAL, id="international"),
        pytest.param(PhoneNumberFormat.E164, id="E.164"),
    ],
)
def test_each_countrys_example_mobile_is_taken(region: str, form: int) -> None:
    """By phonenumbers 9.0.43, example_number_for_type(region, MOBILE)."""
    expected = _example(region, PhoneNumberType.MOBILE, PhoneNumberFormat.E164)
    typed = _example(region, PhoneNumberType.MOBILE, form)

    parsed = parse_phone(
        typed, region=region, allowed_countries=(region,), test_numbers=frozenset()
    )

    assert parsed == expected
    assert is_person(parsed)


@pytest.mark.parametrize("region", SERVED)
@pytest.mark.parametrize(
    "kind",
    [
        pytest.param(PhoneNumberType.FIXED_LINE, id="fixed line"),
        pytest.param(PhoneNumberType.TOLL_FREE, id="toll-free"),
    ],
)
def test_each_countrys_other_examples_are_refused(region: str, kind: int) -> None:
    """By phonenumbers 9.0.43, where the country has such an example at all."""
    number = phonenumbers.example_number_for_type(region, kind)
    typed = "0" if number is None else phonenumbers.format_number(number, PhoneNumberFormat.E164)

    with pytest.raises(PhoneRefusedError):
        parse_phone(typed, region=region, allowed_countries=(region,), test_numbers=frozenset())


def test_only_small_territories_have_mobile_numbers_too_short_for_a_person() -> None:
    """By phonenumbers 9.0.43, over all its regions: the price of telling short codes apart."""
    examples = {
        region: _example(region, PhoneNumberType.MOBILE, PhoneNumberFormat.E164)
        for region in phonenumbers.SUPPORTED_REGIONS
        if phonenumbers.example_number_for_type(region, PhoneNumberType.MOBILE) is not None
    }

    assert {region for region, number in examples.items() if not is_person(number)} == {
        "AC", "CK", "FK", "SH", "TK",
    }  # fmt: skip


@pytest.mark.parametrize("region", SERVED)
def test_each_countrys_example_mobile_is_shown_in_its_groups(region: str) -> None:
    """By phonenumbers 9.0.43, example_number_for_type(region, MOBILE), international form."""
    stored = _example(region, PhoneNumberType.MOBILE, PhoneNumberFormat.E164)
    written = _example(region, PhoneNumberType.MOBILE, PhoneNumberFormat.INTERNATIONAL)
    masked = masked_number(stored)

    assert shown_number(stored) == written
    assert [digit for digit in masked if digit.isdigit()] == [
        *written.partition(" ")[0].removeprefix("+"),
        *stored[-3:],
    ]
    assert len(masked) == len(written)
