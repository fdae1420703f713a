"""Who may knock: signatures, secrets, sources, size and method."""

import base64
import hashlib
import hmac
from dataclasses import replace
from ipaddress import ip_network

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters.contract import WebhookRequest
from gateway_adapters.http_form.door import Door, SharedSecret, Signature, refusal_status
from tests.outgoing import EVENING

KEY = b"shared-secret"
STAMP = str(int(EVENING.timestamp()))
BODY = '{"text": "A3 ŋ"}'.encode()
SIGNATURE = Signature(keys=(KEY,), header="x-signature", timestamp_header="x-timestamp")
SIGNED = Door(method="POST", signature=SIGNATURE, shared=None)
SECRET = Door(
    method="POST",
    signature=None,
    shared=SharedSecret(secrets=(b"new secret", b"old secret"), header="x-secret"),
)


def _mac(body: bytes = BODY, *, stamp: str = STAMP, key: bytes = KEY) -> bytes:
    return hmac.new(key, f"{stamp}.".encode() + body, hashlib.sha256).digest()


def _request(body: bytes = BODY, **headers: str) -> WebhookRequest:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return WebhookRequest(method="POST", path="/", headers=named, body=body)


def _signed(body: bytes = BODY, *, stamp: str = STAMP, key: bytes = KEY) -> WebhookRequest:
    mac = _mac(body, stamp=stamp, key=key).hex()
    return _request(body, x_signature=mac, x_timestamp=stamp)


def _status(request: WebhookRequest, door: Door = SIGNED) -> int | None:
    return refusal_status(door, request, now=EVENING)


def test_a_signature_of_another_program_is_genuine() -> None:
    """Made once with Node's crypto: key "shared-secret", stamp 1805122800, body {}."""
    headers = {
        "X-Timestamp": "1805122800",
        "X-Signature": "d14396fa69cab12cceba6ac2c539b32db4a4f583dbac8660770cc6197699a143",
    }
    request = WebhookRequest(method="POST", path="/", headers=headers, body=b"{}")

    assert _status(request) is None


def test_a_genuine_request_comes_in_whatever_the_case_of_its_headers() -> None:
    request = _request(X_SIGNATURE=_mac().hex().upper(), X_TimeStamp=f" {STAMP} ")

    assert _status(_signed()) is None
    assert _status(request) is None


@pytest.mark.parametrize(
    "request_",
    [
        _request(),
        replace(_signed(BODY), body=BODY + b" "),
        replace(_signed(BODY), body=BODY[:-1]),
        _signed(key=b"shared-secreT"),
        _request(x_signature=_mac().hex(), x_timestamp=str(int(STAMP) + 1)),
        _request(x_signature=_mac().hex()),
        _request(x_timestamp=STAMP),
        _request(x_signature="", x_timestamp=STAMP),
        _request(x_signature=_mac().hex()[:-1], x_timestamp=STAMP),
        _request(x_signature=_mac().hex()[:-2], x_timestamp=STAMP),
        _request(x_signature="\u0661" * 64, x_timestamp=STAMP),
        _request(x_signature="é" * 64, x_timestamp=STAMP),
        _request(x_signature=_mac().hex(), X_Signature=_mac().hex(), x_timestamp=STAMP),
        _signed(stamp=f"+{STAMP}"),
        _signed(stamp="1_805_122_800"),
        _signed(stamp="nan"),
        _signed(stamp=""),
        _signed(stamp="9" * 13),
    ],
    ids=range(18),
)
def test_what_is_forged_in_any_way_stays_outside(request_: WebhookRequest) -> None:
    assert _status(request_) == 401


@pytest.mark.parametrize(
    ("seconds", "status"), [(-301, 401), (-300, None), (0, None), (300, None), (301, 401)]
)
def test_a_signature_lives_five_minutes_either_way(seconds: int, status: int | None) -> None:
    assert _status(_signed(stamp=str(int(STAMP) + seconds))) == status


def test_two_keys_are_live_while_one_is_replaced() -> None:
    both = replace(SIGNED, signature=replace(SIGNATURE, keys=(b"new key", KEY)))

    assert _status(_signed(), both) is None
    assert _status(_signed(key=b"new key"), both) is None
    assert _status(_signed(key=b"a third"), both) == 401


def test_a_signature_may_have_a_prefix_and_be_in_base64() -> None:
    door = replace(SIGNED, signature=replace(SIGNATURE, prefix="v1=", base64=True))
    digits = base64.b64encode(_mac()).decode("ascii")

    assert _status(_request(x_signature=f"v1={digits}", x_timestamp=STAMP), door) is None
    assert _status(_request(x_signature=digits, x_timestamp=STAMP), door) == 401
    assert _status(_request(x_signature=f"v1={_mac().hex()}", x_timestamp=STAMP), door) == 401
    assert _status(_request(x_signature="v1=!", x_timestamp=STAMP), door) == 401


@pytest.mark.parametrize(
    ("given_", "status"),
    [("new secret", None), ("old secret", None), ("no secret", 401), ("", 401), ("né", 401)],
)
def test_a_secret_in_a_header_lets_in(given_: str, status: int | None) -> None:
    assert _status(_request(X_Secret=given_), SECRET) == status
    assert _status(_request(), SECRET) == 401


def test_where_both_are_set_both_are_needed() -> None:
    both = replace(SIGNED, shared=SECRET.shared)
    mac = _mac().hex()
    whole = _request(x_signature=mac, x_timestamp=STAMP, x_secret="old secret")  # noqa: S106 -- invented

    assert _status(whole, both) is None
    assert _status(_signed(), both) == 401
    assert _status(_request(x_secret="old secret"), both) == 401  # noqa: S106 -- invented


@pytest.mark.parametrize(
    ("source", "status"),
    [
        ("192.0.2.7", None),
        ("::ffff:192.0.2.7", None),
        ("2001:db8::1", None),
        ("192.0.3.7", 401),
        ("2001:db9::1", 401),
        ("somewhere", 401),
        ("", 401),
    ],
)
def test_a_list_of_sources_is_kept_also_where_nobody_says_one(
    source: str, status: int | None
) -> None:
    door = replace(SIGNED, sources=(ip_network("192.0.2.0/24"), ip_network("2001:db8::/64")))

    assert _status(replace(_signed(), source=source), door) == status


@pytest.mark.parametrize("method", ["GET", "PUT", "DELETE", "TRACE", "HEAD", "OPTIONS", ""])
def test_another_method_is_refused(method: str) -> None:
    assert _status(replace(_signed(), method=method)) == 405


def test_a_body_over_64_kib_is_refused_unread() -> None:
    assert _status(_signed(b"x" * 65_536)) is None
    assert _status(_signed(b"x" * 65_537)) == 413


@given(st.binary(max_size=200), st.text(max_size=80), st.text(max_size=12))
def test_no_made_up_signature_comes_in(body: bytes, mac: str, stamp: str) -> None:
    assert _status(_request(body, x_signature=mac, x_timestamp=stamp)) == 401
    assert _status(_request(body, x_signature=mac, x_timestamp=STAMP)) == 401


def test_secrets_are_in_no_repr() -> None:
    assert "secret" not in repr((SIGNED, SECRET)).replace("x-secret", "").replace("secrets", "")
