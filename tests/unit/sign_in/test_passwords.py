"""Passwords are kept by argon2id, two at a time, and the same work is done for nobody."""

import unicodedata

import pytest

from service.sign_in.passwords import BusyError, Passwords
from tests.unit.sign_in.gate import PASSWORD, CountingHasher


@pytest.fixture
def passwords(hasher: CountingHasher) -> Passwords:
    """Two places for hashing of almost no work."""
    return Passwords(hasher, longest_wait_s=0.01)


def test_the_usual_hashing_is_argon2id_of_64_mib() -> None:
    """Parameters of RFC 9106, section 4, second choice: t = 3, p = 4, 64 MiB."""
    with Passwords().place() as place:
        kept = place.hash(PASSWORD)

        assert kept.startswith("$argon2id$v=19$m=65536,t=3,p=4$")
        assert len(kept) <= 200
        assert place.verify(kept, PASSWORD)


def test_only_the_same_password_fits(passwords: Passwords) -> None:
    with passwords.place() as place:
        kept = place.hash(PASSWORD)

        assert place.verify(kept, PASSWORD)
        assert not place.verify(kept, PASSWORD + " ")
        assert not place.verify(kept, PASSWORD.upper())
        assert not place.verify("no hash at all", PASSWORD)


def test_two_keyboards_that_write_a_letter_differently_type_the_same(passwords: Passwords) -> None:
    composed = unicodedata.normalize("NFC", "café à la crème brûlée")

    with passwords.place() as place:
        kept = place.hash(composed)

        assert place.verify(kept, unicodedata.normalize("NFD", composed))


@pytest.mark.parametrize("typed", ["x" * 129, "x" * 1_000_000, "nul\0" * 4, "\ud800" * 12])
def test_what_nobody_can_have_is_refused_before_hashing(
    passwords: Passwords, hasher: CountingHasher, typed: str
) -> None:
    with passwords.place() as place:
        kept = place.hash(PASSWORD)

        assert not place.verify(kept, typed)
        assert not place.verify_nothing(typed)
    assert hasher.checks == 0


def test_an_unknown_name_costs_one_check_too(passwords: Passwords, hasher: CountingHasher) -> None:
    with passwords.place() as place:
        assert not place.verify_nothing(PASSWORD)

    assert hasher.checks == 1


def test_a_third_at_once_is_turned_away_until_a_place_is_free(passwords: Passwords) -> None:
    with (
        passwords.place(),
        passwords.place(),
        pytest.raises(BusyError, match="try again"),
        passwords.place(),
    ):
        pass

    with passwords.place() as place:
        assert place.hash(PASSWORD)
