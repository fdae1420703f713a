"""Whether the gateway can be reached: a connection, its TLS, and nothing sent over it."""

import asyncio
import ssl

from gateway_adapters.http_form.exchange import Wire, tls_context
from gateway_adapters.http_form.resolve import AddressError, resolve


async def probe(wire: Wire, *, left_s: float) -> str | None:
    """Return why the gateway cannot be reached within `left_s` seconds, or None if it can."""
    settings, target = wire.settings, wire.settings.target
    context = tls_context(settings) if target.secure else None
    limit_s = min(left_s, settings.connect_s)
    try:
        async with asyncio.timeout(limit_s):
            (address, *_) = await resolve(
                target, wire.look_up, allow_private=settings.allow_private
            )
            _, writer = await asyncio.open_connection(
                str(address),
                target.port,
                ssl=context,
                server_hostname=target.host if context else None,
            )
            writer.close()
    except AddressError as error:
        return str(error)
    except TimeoutError:
        return "The gateway did not answer in time."
    except ssl.SSLError:
        return "The gateway's certificate is not one that we trust, or not its own."
    except OSError:
        return "The gateway could not be reached."
    return None
