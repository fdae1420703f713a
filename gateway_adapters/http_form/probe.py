"""Whether the gateway can be reached: a connection, its TLS, and nothing sent over it."""

import asyncio
import ssl

import anyio
from anyio.abc import AsyncResource

from gateway_adapters.http_form.exchange import Wire, tls_context
from gateway_adapters.http_form.resolve import AddressError, resolve


async def probe(wire: Wire, *, left_s: float) -> str | None:
    """Return why the gateway cannot be reached within `left_s` seconds, or None if it can."""
    settings, target = wire.settings, wire.settings.target
    limit_s = min(left_s, settings.connect_s)
    try:
        async with asyncio.timeout(limit_s):
            (address, *_) = await resolve(
                target, wire.look_up, allow_private=settings.allow_private
            )
            stream = await _connect(str(address), wire)
            # Not a farewell over TLS: the other side may never answer it, and nothing was said.
            await anyio.aclose_forcefully(stream)
    except AddressError as error:
        return str(error)
    except TimeoutError:
        return "The gateway did not answer in time."
    except ssl.SSLError:
        return "The gateway's certificate is not one that we trust, or not its own."
    except (OSError, anyio.BrokenResourceError, anyio.EndOfStream):
        return "The gateway could not be reached."
    return None


async def _connect(address: str, wire: Wire) -> AsyncResource:
    settings, target = wire.settings, wire.settings.target
    if not target.secure:
        return await anyio.connect_tcp(address, target.port)
    return await anyio.connect_tcp(
        address, target.port, ssl_context=tls_context(settings), tls_hostname=target.host
    )
