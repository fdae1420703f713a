"""Tokens are long and only their hash is kept; what is sealed opens with one key alone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.sign_in.secrets import Vault, VaultError, new_token, token_hash
from tests.unit.sign_in.gate import KEY

OTHER_KEY = b"another secret key, made up as well"


def test_a_token_has_256_bits_and_stands_in_an_address_as_it_is() -> None:
    tokens = {new_token() for _ in range(100)}

    assert len(tokens) == 100
    assert {len(token) for token in tokens} == {43}  # 43 characters of 6 bits hold 256
    assert all(token.replace("-", "").replace("_", "").isalnum() for token in tokens)


def test_a_token_is_kept_as_its_sha_256() -> None:
    """FIPS 180-4, the example "abc"."""
    assert token_hash("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@given(st.text(st.characters(), max_size=60))
def test_any_text_a_browser_sends_has_a_hash_and_a_mark(text: str) -> None:
    assert len(token_hash(text)) == 64
    assert len(Vault(KEY).mark("address", text)) <= 80


@given(st.text(max_size=60))
def test_what_is_sealed_opens_again_and_shows_nothing(text: str) -> None:
    sealed = Vault(KEY).seal("totp", text)

    assert Vault(KEY).open("totp", sealed) == text
    assert len(text) < 8 or text not in sealed


@pytest.mark.parametrize(
    ("key", "kind", "change"),
    [
        pytest.param(OTHER_KEY, "totp", "", id="another key"),
        pytest.param(KEY, "halfway", "", id="another kind"),
        pytest.param(KEY, "totp", "x", id="a character more"),
        pytest.param(KEY, "totp", "x\ud800", id="what no encoding holds"),
    ],
)
def test_what_was_sealed_otherwise_is_refused(key: bytes, kind: str, change: str) -> None:
    sealed = Vault(KEY).seal("totp", "JBSWY3DPEHPK3PXP")

    with pytest.raises(VaultError, match="put back the key"):
        Vault(key).open(kind, change + sealed)


def test_a_mark_is_the_same_each_time_but_not_for_another_key_kind_or_value() -> None:
    vault = Vault(KEY)
    marks = [
        vault.mark("address", "192.0.2.1"),
        vault.mark("address", "192.0.2.2"),
        vault.mark("name", "192.0.2.1"),
        Vault(OTHER_KEY).mark("address", "192.0.2.1"),
    ]

    assert vault.mark("address", "192.0.2.1") == marks[0]
    assert len(set(marks)) == 4
    assert not any("192.0.2" in mark for mark in marks)


def test_a_short_key_makes_no_vault() -> None:
    with pytest.raises(ValueError, match="32 bytes"):
        Vault(b"x" * 31)
