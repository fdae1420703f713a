"""The app's codes agree with the standard, count once, and have digits of one script only."""

from base64 import b32encode
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.sign_in.codes import (
    matching_step,
    new_recovery_codes,
    new_totp_secret,
    recovery_hash,
    totp_address,
)

RFC_SECRET = b32encode(b"12345678901234567890").decode()
NOW = datetime.fromtimestamp(1_111_111_109, UTC)  # its code is 081804


def at(seconds: int) -> datetime:
    return datetime.fromtimestamp(seconds, UTC)


@pytest.mark.parametrize(
    ("seconds", "code"),
    [
        (59, "287082"),
        (1_111_111_109, "081804"),
        (1_111_111_111, "050471"),
        (1_234_567_890, "005924"),
        (2_000_000_000, "279037"),
    ],
)
def test_the_codes_are_those_of_the_standard(seconds: int, code: str) -> None:
    """RFC 6238, Appendix B, SHA-1: the last six of its eight digits."""
    assert matching_step(RFC_SECRET, code, last_step=None, now=at(seconds)) is not None


@pytest.mark.parametrize(
    ("typed", "taken"),
    [
        pytest.param("081804", True, id="as shown"),
        pytest.param(" 081 804 ", True, id="as some apps group it"),
        pytest.param("٠٨١٨٠٤", False, id="digits of another script"),
        pytest.param("\uff10\uff18\uff11\uff18\uff10\uff14", False, id="wide digits"),
        pytest.param("81804", False, id="five digits"),
        pytest.param("0818040", False, id="seven digits"),
        pytest.param("0_1804", False, id="an underscore"),
        pytest.param("081805", False, id="another code"),
        pytest.param("", False, id="nothing"),
    ],
)
def test_six_plain_digits_are_a_code(typed: str, *, taken: bool) -> None:
    assert (matching_step(RFC_SECRET, typed, last_step=None, now=NOW) is not None) is taken


@pytest.mark.parametrize(
    ("seconds", "taken"),
    [(-300, False), (-60, False), (-30, True), (0, True), (30, True), (60, False)],
)
def test_a_clock_may_be_a_step_out(seconds: int, *, taken: bool) -> None:
    found = matching_step(RFC_SECRET, "081804", last_step=None, now=at(1_111_111_109 + seconds))

    assert (found is not None) is taken


def test_a_code_counts_once_and_so_do_those_before_it() -> None:
    """1,111,111,111 s is the step after the one of 1,111,111,109 s (RFC 6238, Appendix B)."""
    later = at(1_111_111_111)
    used = matching_step(RFC_SECRET, "050471", last_step=None, now=later)

    assert used is not None
    assert matching_step(RFC_SECRET, "050471", last_step=used, now=later) is None
    assert matching_step(RFC_SECRET, "081804", last_step=used, now=later) is None
    assert matching_step(RFC_SECRET, "081804", last_step=used - 2, now=later) == used - 1


def test_a_secret_has_160_bits_and_an_app_can_take_it_over() -> None:
    secret = new_totp_secret()

    assert len(secret) == 32  # 32 characters of 5 bits
    assert totp_address(secret, "asha.m") == (
        f"otpauth://totp/Furrowbell:asha.m?secret={secret}&issuer=Furrowbell"
    )


def test_there_are_ten_recovery_codes_of_80_bits() -> None:
    codes = new_recovery_codes()

    assert len(set(codes)) == 10
    assert {len(code.replace("-", "")) for code in codes} == {16}  # 16 characters of 5 bits
    assert {len(group) for code in codes for group in code.split("-")} == {4}


@given(st.sampled_from(["", " ", "-", "  "]), st.sampled_from([str.lower, str.upper]))
def test_a_recovery_code_may_be_typed_in_any_grouping(join: str, case: object) -> None:
    (code, *_) = new_recovery_codes()
    typed = join.join(code.split("-"))

    assert callable(case)
    assert recovery_hash(case(typed)) == recovery_hash(code) is not None


def test_letters_misread_as_digits_are_understood() -> None:
    assert recovery_hash("OIBA-2345-OIBA-2345") == recovery_hash("018A-2345-018A-2345") is not None


@pytest.mark.parametrize("typed", ["123456", "ABCD-EFGH-ABCD-EFG", "ÄBCD-EFGH-ABCD-EFGH", ""])
def test_what_cannot_be_a_recovery_code_has_no_hash(typed: str) -> None:
    assert recovery_hash(typed) is None
