"""The installed gateways, found by the entry-point group `gateway_adapters`.

Another package adds a gateway by one entry point whose value is a factory: settings and a clock
in, an adapter out. Its module may say `REACHES_PHONES = False`, or have a function of that name
that is given the settings: where the answer is no, test numbers may be sent to it.
"""

import importlib
from collections.abc import Callable, Mapping
from importlib.metadata import EntryPoint, entry_points

from gateway_adapters.contract import Clock, Gateway
from gateway_adapters.errors import GatewayConfigError

GROUP = "gateway_adapters"

GatewayFactory = Callable[[Mapping[str, object], Clock], Gateway]


def names() -> tuple[str, ...]:
    """Return the names of the installed gateways, sorted.

    Raises:
        GatewayConfigError: Two packages give the same name to a gateway.
    """
    return tuple(sorted(_installed()))


def open_gateway(name: str, settings: Mapping[str, object], clock: Clock) -> Gateway:
    """Return the named gateway, built from its settings.

    Raises:
        GatewayConfigError: No package gives this gateway, its package is broken, or the
            settings are wrong.
    """
    return _factory(_entry(name))(settings, clock)


def reaches_phones(name: str, settings: Mapping[str, object]) -> bool:
    """Return whether real phones may get what is sent: yes, unless its module denies it.

    Raises:
        GatewayConfigError: No package gives this gateway, or its package is broken.
    """
    entry = _entry(name)
    _factory(entry)
    said: object = getattr(importlib.import_module(entry.module), "REACHES_PHONES", True)
    return (said(settings) if callable(said) else said) is not False


def _entry(name: str) -> EntryPoint:
    installed = _installed()
    if name not in installed:
        known = ", ".join(sorted(installed)) or "none"
        raise GatewayConfigError(f"There is no gateway called {name!r}; installed are: {known}.")
    return installed[name]


def _installed() -> dict[str, EntryPoint]:
    installed: dict[str, EntryPoint] = {}
    for entry in entry_points(group=GROUP):
        if entry.name in installed:
            first = _package(installed[entry.name])
            raise GatewayConfigError(
                f"The packages {first} and {_package(entry)} both have a gateway called "
                f"{entry.name!r}; remove one of them."
            )
        installed[entry.name] = entry
    return installed


def _factory(entry: EntryPoint) -> GatewayFactory:
    try:
        factory: object = entry.load()
    except Exception as error:  # another's module may fail in any way; the package must be named
        raise GatewayConfigError(
            f"The gateway {entry.name!r} of the package {_package(entry)} cannot be loaded; "
            "repair or remove that package."
        ) from error
    if not callable(factory):
        raise GatewayConfigError(
            f"The gateway {entry.name!r} of the package {_package(entry)} is not a factory; "
            "repair or remove that package."
        )
    return factory


def _package(entry: EntryPoint) -> str:
    return "of unknown name" if entry.dist is None else entry.dist.name
