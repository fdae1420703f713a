"""Who may knock: method, size, source and signature of a request, before its body is read. Pure.

A refusal says nothing of its cause. Two secrets of a kind may be live, so that one can be
replaced without a gap.
"""

import base64
import binascii
import hashlib
import hmac
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from ipaddress import IPv4Network, IPv6Address, IPv6Network, ip_address

from gateway_adapters.contract import WebhookRequest

LARGEST_BODY = 65_536
LONGEST_AGE_S = 300

_STAMP = re.compile(r"[0-9]{1,12}")
_UNAUTHORIZED, _WRONG_METHOD, _TOO_LARGE = 401, 405, 413


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """An HMAC-SHA256 (RFC 2104) over `timestamp.body`; the timestamp is in Unix seconds."""

    keys: tuple[bytes, ...] = field(repr=False)
    header: str
    timestamp_header: str
    prefix: str = ""
    base64: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedSecret:
    """A secret that a header must hold."""

    secrets: tuple[bytes, ...] = field(repr=False)
    header: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """What a request must show: all of what is set here."""

    method: str
    signature: Signature | None
    shared: SharedSecret | None
    sources: tuple[IPv4Network | IPv6Network, ...] = ()


def refusal_status(door: Door, request: WebhookRequest, *, now: datetime) -> int | None:
    """Return the status to refuse a request with, or None if it may come in."""
    if len(request.body) > LARGEST_BODY:
        return _TOO_LARGE
    if request.method.upper() != door.method:
        return _WRONG_METHOD
    headers = single_headers(request.headers)
    genuine = (
        (not door.sources or _comes_from(door.sources, request.source))
        and (door.signature is None or _is_signed(door.signature, headers, request.body, now))
        and (door.shared is None or _holds_secret(door.shared, headers))
    )
    return None if genuine else _UNAUTHORIZED


def single_headers(headers: Mapping[str, str]) -> dict[str, str]:
    """Return the headers by their names in small letters; of one given twice, neither."""
    found: dict[str, str] = {}
    twice: set[str] = set()
    for name, value in headers.items():
        small = name.lower()
        if small in found:
            twice.add(small)
        found[small] = value
    return {name: value for name, value in found.items() if name not in twice}


def _comes_from(sources: tuple[IPv4Network | IPv6Network, ...], source: str) -> bool:
    try:
        address = ip_address(source)
    except ValueError:
        return False  # also where nobody says it: a list that is set is kept
    if isinstance(address, IPv6Address) and address.ipv4_mapped is not None:
        address = address.ipv4_mapped
    return any(address in network for network in sources)


def _is_signed(
    signature: Signature, headers: Mapping[str, str], body: bytes, now: datetime
) -> bool:
    stamp = headers.get(signature.timestamp_header, "").strip()
    given = _octets(signature, headers.get(signature.header, "").strip())
    if given is None or _STAMP.fullmatch(stamp) is None:
        return False
    signed = stamp.encode("ascii") + b"." + body
    genuine = any(
        hmac.compare_digest(hmac.new(key, signed, hashlib.sha256).digest(), given)
        for key in signature.keys
    )
    return genuine and abs(now.timestamp() - int(stamp)) <= LONGEST_AGE_S


def _octets(signature: Signature, text: str) -> bytes | None:
    if not text.isascii() or not text.startswith(signature.prefix):
        return None
    digits = text.removeprefix(signature.prefix)
    try:
        if signature.base64:
            return base64.b64decode(digits, validate=True)
        return binascii.unhexlify(digits)
    except (ValueError, binascii.Error):
        return None


def _holds_secret(shared: SharedSecret, headers: Mapping[str, str]) -> bool:
    given = headers.get(shared.header, "").encode("utf-8", "surrogateescape")
    return any(hmac.compare_digest(secret, given) for secret in shared.secrets)
