"""One request and its answer, bounded in time and size, and whether any of it may have left.

httpx's own time-outs count each read, so the whole stands under a limit of ours. The transport
is used without a client: no proxies from the environment, no redirects, no cookies, no retries.
Each request has a connection of its own: one that is used again may be closed under the request,
or still hold octets of an earlier answer, and then nobody can say what became of the text.
"""

import asyncio
import ssl
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field

import httpx

from gateway_adapters.http_form.answers import Answer
from gateway_adapters.http_form.resolve import AddressError, LookUp, resolve
from gateway_adapters.http_form.sending_settings import SendingSettings
from gateway_adapters.http_form.target import Address

LARGEST_ANSWER = 65_536
_SENDING = "http11.send_request_headers.started"


@dataclass(frozen=True, slots=True, kw_only=True)
class NotSent:
    """Certainly nothing left."""

    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """Something may have left, and no whole answer came."""

    reason: str


@dataclass(slots=True, kw_only=True, eq=False)
class Flight:
    """How far a request has come. Once abandoned, one that has not left never will.

    Attributes:
        at_stake: the places in the batch that it may have sent, once it has left.
    """

    at_stake: frozenset[int]
    left: bool = False
    abandoned: bool = False
    limit: asyncio.Timeout | None = field(default=None, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """What a request needs beside itself."""

    settings: SendingSettings
    transport: httpx.AsyncHTTPTransport
    look_up: LookUp


class _AbandonedError(Exception):
    """Stops a request whose caller has been told that it was not sent."""


def tls_context(settings: SendingSettings) -> ssl.SSLContext:
    """Return a context that verifies certificates and names, by `ca_file` where it is set."""
    if settings.ca_file is None:
        return httpx.create_ssl_context(trust_env=False)
    return ssl.create_default_context(cafile=str(settings.ca_file))


def open_transport(settings: SendingSettings) -> httpx.AsyncHTTPTransport:
    """Return a transport that has called nobody yet."""
    limits = httpx.Limits(max_connections=settings.window + 1, max_keepalive_connections=0)
    return httpx.AsyncHTTPTransport(verify=tls_context(settings), trust_env=False, limits=limits)


async def exchange(
    wire: Wire, content: bytes, *, headers: Mapping[str, str], flight: Flight
) -> Answer | NotSent | Lost:
    """Send one request and return what came of it, within `total_s` from now."""
    settings = wire.settings
    try:
        async with asyncio.timeout(settings.total_s) as flight.limit:
            *others, last = await resolve(
                settings.target, wire.look_up, allow_private=settings.allow_private
            )
            for address in others:
                with suppress(httpx.ConnectError, httpx.ConnectTimeout):
                    return await _post(wire, _request(settings, content, headers, address), flight)
            return await _post(wire, _request(settings, content, headers, last), flight)
    except AddressError as error:
        return NotSent(reason=str(error))
    except _AbandonedError:
        return NotSent(reason="The deadline passed before the request left.")
    except (TimeoutError, httpx.TransportError) as error:
        if flight.left:
            return Lost(reason=f"No whole answer came ({type(error).__name__}).")
        return NotSent(reason=f"The gateway could not be reached ({type(error).__name__}).")


async def _post(wire: Wire, request: httpx.Request, flight: Flight) -> Answer:
    async def watch(event: str, _: Mapping[str, object]) -> None:
        if event == _SENDING:
            if flight.abandoned:
                raise _AbandonedError
            flight.left = True

    settings = wire.settings
    request.extensions = {
        "timeout": {
            "connect": settings.connect_s,
            "read": settings.read_s,
            "write": settings.read_s,
            "pool": settings.connect_s,
        },
        "sni_hostname": settings.target.host,
        "trace": watch,
    }
    response = await wire.transport.handle_async_request(request)
    try:
        names = {name.lower(): value for name, value in response.headers.items()}
        return Answer(status=response.status_code, headers=names, body=await _read(response))
    finally:
        await response.aclose()


def _request(
    settings: SendingSettings, content: bytes, headers: Mapping[str, str], address: Address
) -> httpx.Request:
    url = settings.target.at(address)
    all_headers = {
        "Host": settings.target.authority,
        "Accept": "application/json",
        "Accept-Encoding": "identity",
        "Connection": "close",
        "User-Agent": "Furrowbell",
        **dict(settings.headers),
        **headers,
    }
    if settings.method == "GET":
        joint = "&" if "?" in url else "?"
        return httpx.Request("GET", f"{url}{joint}{content.decode('ascii')}", headers=all_headers)
    all_headers["Content-Type"] = settings.body.content_type
    return httpx.Request(settings.method, url, headers=all_headers, content=content)


async def _read(response: httpx.Response) -> bytes | None:
    """Return the body as it came, or None where it is over the limit; the rest is not read."""
    read = bytearray()
    async for chunk in response.aiter_raw():
        read += chunk
        if len(read) > LARGEST_ANSWER:
            return None
    return bytes(read)
