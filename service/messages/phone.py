"""Phone numbers: what a form takes, in one stored shape, and which senders are people.

No sentence here repeats a number, since sentences reach logs and screens of others.
"""

import re

from phonenumbers import (
    NumberParseException,
    PhoneNumber,
    PhoneNumberFormat,
    PhoneNumberType,
    ValidationResult,
    format_number,
    is_possible_number_for_type_with_reason,
    is_valid_number,
    number_type,
    parse,
    region_code_for_number,
)

from service.errors import RefusedError

MOBILE = frozenset({PhoneNumberType.MOBILE, PhoneNumberType.FIXED_LINE_OR_MOBILE})

HIDDEN = "•"
_BUT_LAST = re.compile(r"\d(?=(?:\D*\d){3})")  # a digit with three or more after it

SHORT_CODE_DIGITS = 6  # from memory: operators' short codes have three to six digits

# E.164 allows 15 digits. Below nine it is a short code with a country code put before it,
# like +255 and five digits; the few islands with shorter mobile numbers are read by a person.
PERSON = re.compile(r"\+[0-9]{9,15}")

SENTENCES: dict[str, str] = {
    "phone-unreadable": "Type the number with digits only, for example with the country code.",
    "phone-short-code": "This is a short code, not a person's number; type the whole number.",
    "phone-too-short": "The number has too few digits; count them again.",
    "phone-too-long": "The number has too many digits; count them again.",
    "phone-wrong-length": "The number has a digit too many or too few; count them again.",
    "phone-other-country": "The number is of a country that is not served; type one that is.",
    "phone-not-assigned": "No operator has numbers like this one; check every digit.",
    "phone-not-mobile": "This number cannot get texts; type a mobile number.",
}

LENGTH_FAULTS: dict[int, str] = {
    ValidationResult.IS_POSSIBLE_LOCAL_ONLY: "phone-too-short",
    ValidationResult.TOO_SHORT: "phone-too-short",
    ValidationResult.TOO_LONG: "phone-too-long",
    ValidationResult.INVALID_LENGTH: "phone-wrong-length",
}


class PhoneRefusedError(RefusedError):
    """A typed number cannot be used; `code` is a key of `SENTENCES`."""

    def __init__(self, code: str) -> None:
        super().__init__(code, SENTENCES[code])


def parse_phone(
    typed: str,
    *,
    region: str,
    allowed_countries: tuple[str, ...],
    test_numbers: frozenset[str],
) -> str:
    """Return the number as E.164, like `+255621234567`.

    `region` and `allowed_countries` are ISO 3166 two-letter codes, `test_numbers` E.164. Local,
    spaced, and native digits are read alike (phonenumbers' metadata).

    Raises:
        PhoneRefusedError: not a mobile number of an allowed country, nor a test number.

    """
    number = _read(typed, region=region)
    e164 = format_number(number, PhoneNumberFormat.E164)
    if e164 in test_numbers:
        return e164
    fault = _fault(number, allowed_countries=allowed_countries)
    if fault is not None:
        raise PhoneRefusedError(fault)
    return e164


def shown_number(e164: str) -> str:
    """Return a stored number as people write it: the country code, then groups of digits.

    What is no person's number, such as a sender's name or short code, is shown as it came.
    """
    if not is_person(e164):
        return e164
    try:
        return format_number(parse(e164), PhoneNumberFormat.INTERNATIONAL)
    except NumberParseException:  # a country code that no country has
        return e164


def masked_number(e164: str) -> str:
    """Return the shown form with all digits hidden but the country code and the last three."""
    if not is_person(e164):
        return e164
    country, blank, rest = shown_number(e164).partition(" ")
    return (
        f"{country}{blank}{_BUT_LAST.sub(HIDDEN, rest)}"
        if blank
        else _BUT_LAST.sub(HIDDEN, country)
    )


def is_person(sender: str) -> bool:
    """Return whether a sender can be a person's phone, so that an answer makes sense.

    Names and short codes belong to machines. Whether the number is assigned is not asked here:
    numbering plans change faster than any table of them.
    """
    return PERSON.fullmatch(sender) is not None


def _read(typed: str, *, region: str) -> PhoneNumber:
    text = typed.strip()
    if any(character.isalpha() for character in text):
        raise PhoneRefusedError("phone-unreadable")
    digits = sum(character.isdigit() for character in text)
    if "+" not in text and 0 < digits <= SHORT_CODE_DIGITS:
        raise PhoneRefusedError("phone-short-code")
    if text.startswith("00"):  # the common sign for "abroad", though not every country's own
        text = "+" + text.removeprefix("00")
    try:
        return parse(text, region)
    except NumberParseException:
        raise PhoneRefusedError("phone-unreadable") from None


def _fault(number: PhoneNumber, *, allowed_countries: tuple[str, ...]) -> str | None:
    if not is_valid_number(number):
        length = is_possible_number_for_type_with_reason(number, PhoneNumberType.MOBILE)
        return LENGTH_FAULTS.get(length, "phone-not-assigned")
    if region_code_for_number(number) not in allowed_countries:
        return "phone-other-country"
    return None if number_type(number) in MOBILE else "phone-not-mobile"
