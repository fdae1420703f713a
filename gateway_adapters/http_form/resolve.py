"""Names to addresses that may be called."""

import asyncio
import socket
from collections.abc import Callable, Sequence
from contextlib import suppress
from ipaddress import ip_address
from threading import Thread

from gateway_adapters.http_form.target import Address, Target, address_fault

MOST_ADDRESSES = 4  # ours: so many dead ones are tried before a living one


LookUp = Callable[[str, int], Sequence[str]]
"""Host and port in, addresses out; it may take its time."""


class AddressError(Exception):
    """A name that has no address, or one that may not be called."""


def system_look_up(host: str, port: int) -> list[str]:
    """Return the addresses that the system knows for a name; none if it knows none."""
    with suppress(OSError, UnicodeError):
        rows = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
        return [str(row[4][0]) for row in rows]
    return []


async def resolve(target: Target, look_up: LookUp, *, allow_private: bool) -> list[Address]:
    """Return the addresses of a target, each of which may be called.

    Raises:
        AddressError: There is none, or one of them may not be called.
    """
    try:
        addresses: list[Address] = [ip_address(target.host)]
    except ValueError:
        addresses = await _ask(target, look_up)
    for address in addresses:
        if fault := address_fault(address, secure=target.secure, allow_private=allow_private):
            raise AddressError(fault)
    return addresses[:MOST_ADDRESSES]


async def _ask(target: Target, look_up: LookUp) -> list[Address]:
    """Ask in a thread that nothing waits for at the end of the program."""
    loop = asyncio.get_running_loop()
    answer: asyncio.Future[list[Address]] = loop.create_future()

    def ask() -> None:
        found = [ip_address(address) for address in look_up(target.host, target.port)]
        with suppress(RuntimeError):  # the loop may be gone by now
            loop.call_soon_threadsafe(tell, found)

    def tell(found: list[Address]) -> None:
        if not answer.done():
            answer.set_result(found)

    Thread(target=ask, name="http-form-names", daemon=True).start()
    addresses = list(dict.fromkeys(await answer))
    if not addresses:
        raise AddressError("The gateway's name was not found.")
    return addresses
