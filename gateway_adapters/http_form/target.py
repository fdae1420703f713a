"""Where a gateway is, and which addresses may be called. Pure.

The name stands in the settings' own list with its port, and what it resolves to is looked at
before the connection, at the very address that is then connected to.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, IPv6Network, ip_address
from urllib.parse import urlsplit

Address = IPv4Address | IPv6Address

_PORTS = {"http": 80, "https": 443}
_HOST = re.compile(r"[a-z0-9]([a-z0-9.-]*[a-z0-9])?")
_LIKE_A_NUMBER = re.compile(r"(0x[0-9a-f]*|[0-9]+)")
# RFC 6052: an IPv4 address in disguise, which `ipaddress` counts as global
_TRANSLATED = IPv6Network("64:ff9b::/96")
_TARGET = re.compile(r"[!-~]*")


class TargetError(ValueError):
    """An address that a gateway may not have; the sentence is for whoever writes settings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A parsed address: the host is a name in small letters, or an IP address."""

    scheme: str
    host: str
    port: int
    path: str

    @property
    def secure(self) -> bool:
        """Whether it is called over TLS."""
        return self.scheme == "https"

    @property
    def authority(self) -> str:
        """Return what the Host field says: without the port where it is the usual one."""
        usual = self.port == _PORTS[self.scheme]
        return _bracketed(self.host) if usual else f"{_bracketed(self.host)}:{self.port}"

    def at(self, address: Address) -> str:
        """Return the URL with the address in place of the name."""
        return f"{self.scheme}://{_bracketed(str(address))}:{self.port}{self.path}"


def parse_target(text: str, *, hosts: Iterable[str], allow_private: bool) -> Target:
    """Return the target, whose host and port must stand in `hosts`, each `name:port`.

    Raises:
        TargetError: It is no http or https address, holds a name or password, is not in the
            list, or is an address that may not be called.
    """
    if _TARGET.fullmatch(text) is None:
        raise TargetError("must hold no blanks and no letters outside ASCII")
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError as error:
        raise TargetError("is no address") from error
    host = (parts.hostname or "").rstrip(".")
    if parts.scheme not in _PORTS:
        raise TargetError("must begin with https:// (http:// for loopback only)")
    if "@" in parts.netloc or parts.fragment:
        raise TargetError("may hold no name, password or #; secrets belong in a header")
    literal = _literal(host)
    if literal is None and not _is_name(host):
        raise TargetError("names no host in its usual spelling")
    target = Target(
        scheme=parts.scheme,
        host=host,
        port=_PORTS[parts.scheme] if port is None else port,
        path=(parts.path or "/") + (f"?{parts.query}" if parts.query else ""),
    )
    if f"{_bracketed(host)}:{target.port}" not in set(hosts):
        raise TargetError("names a host and port that 'hosts' does not list as name:port")
    if literal is not None and (
        fault := address_fault(literal, secure=target.secure, allow_private=allow_private)
    ):
        raise TargetError(f"may not be called: {fault.removesuffix('.')}")
    return target


def address_fault(address: Address, *, secure: bool, allow_private: bool) -> str | None:
    """Return why an address may not be called, or None if it may."""
    plain = _unmapped(address)
    if plain.is_multicast or plain.is_unspecified:
        return "The address is none of a single host."
    if not secure and not plain.is_loopback:
        return "Without TLS only this computer itself may be called."
    if isinstance(plain, IPv6Address) and plain in _TRANSLATED:
        return "The address hides another one."
    if not allow_private and (not plain.is_global or plain.is_reserved):
        return "The address is private, and 'allow_private' is not set."
    return None


def reaches_beyond(address: object) -> bool:
    """Return whether a setting is anything but a written address of this computer itself."""
    try:
        host = urlsplit(address).hostname if isinstance(address, str) else None
    except ValueError:
        return True
    literal = _literal(host or "")
    return literal is None or not _unmapped(literal).is_loopback


def _unmapped(address: Address) -> Address:
    if isinstance(address, IPv6Address) and address.ipv4_mapped is not None:
        return address.ipv4_mapped
    return address


def _literal(host: str) -> Address | None:
    try:
        return ip_address(host)
    except ValueError:
        return None


def _is_name(host: str) -> bool:
    # A last label that is a number makes resolvers read the whole as an address: 0x7f.1, 127.1.
    return (
        _HOST.fullmatch(host) is not None
        and ".." not in host
        and _LIKE_A_NUMBER.fullmatch(host.rpartition(".")[2]) is None
    )


def _bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host
