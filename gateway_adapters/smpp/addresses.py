"""Numbers and names on the wire, with their type and numbering plan (SMPP 3.4, 5.2.5-6). Pure."""

import re
from dataclasses import dataclass

from gateway_adapters import gsm7

LONGEST_NAME = 11  # letters of an alphabetic sender (TS 23.040, 9.1.2.5: 10 octets of septets)
LONGEST_SHORT_CODE = 8  # digits; common practice, no source
INTERNATIONAL = 1
SHORT_CODE = 3
ALPHANUMERIC = 5
ISDN = 1  # numbering plan E.164

_E164 = re.compile(r"\+[1-9][0-9]{6,14}")
_DIGITS = re.compile(r"[0-9]{1,20}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """An address as it stands in a PDU."""

    ton: int
    npi: int
    digits: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A route's own type and plan; None where the address is to tell them."""

    ton: int | None = None
    npi: int | None = None


def sender_address(sender: str, plan: Plan) -> Address | None:
    """Return the sender's address, or None if no PDU can carry it.

    Letters are a name (5/0), few digits a short code (3/0), many a number (1/1); common
    practice, no source.
    """
    if _E164.fullmatch(sender):
        return _planned(sender[1:], INTERNATIONAL, ISDN, plan)
    if _DIGITS.fullmatch(sender):
        if len(sender) <= LONGEST_SHORT_CODE:
            return _planned(sender, SHORT_CODE, 0, plan)
        return _planned(sender, INTERNATIONAL, ISDN, plan)
    if not _is_name(sender):
        return None
    return _planned(sender, ALPHANUMERIC, 0, plan)


def phone_address(number: str, plan: Plan) -> Address | None:
    """Return a phone's address, or None if the number is not in E.164."""
    if not _E164.fullmatch(number):
        return None
    return _planned(number[1:], INTERNATIONAL, ISDN, plan)


def readable_number(address: Address, *, country_code: str = "") -> str:
    """Return E.164 where the address tells it, else the address as it stands.

    With a country code (digits), also a national number and one that begins with the code are
    known.
    """
    digits = address.digits.strip()
    bare = digits.removeprefix("+")
    if address.ton == ALPHANUMERIC or not _DIGITS.fullmatch(bare):
        return digits
    if address.ton == INTERNATIONAL or bare != digits:
        full = f"+{bare}"
    elif bare.startswith("00"):
        full = f"+{bare[2:]}"
    elif country_code and bare.startswith("0"):
        full = f"+{country_code}{bare[1:]}"
    elif country_code and bare.startswith(country_code) and len(bare) > LONGEST_SHORT_CODE:
        full = f"+{bare}"
    else:
        return digits
    return full if _E164.fullmatch(full) else digits


def bare_digits(number: str) -> str:
    """Return what two spellings of one number have in common: the digits, no leading zeros."""
    return number.strip().lstrip("+").lstrip("0")


def _is_name(sender: str) -> bool:
    return (
        sender.isascii()
        and sender.isprintable()
        and gsm7.is_gsm7(sender)
        and 0 < gsm7.septet_count(sender) <= LONGEST_NAME
    )


def _planned(digits: str, ton: int, npi: int, plan: Plan) -> Address:
    return Address(
        ton=ton if plan.ton is None else plan.ton,
        npi=npi if plan.npi is None else plan.npi,
        digits=digits,
    )
