"""Settings of the routes: one table `[route]`, or several `[[route]]`; every fault is listed."""

from collections.abc import Mapping
from dataclasses import dataclass

_KEYS = {
    "name",
    "adapter",
    "sender",
    "rate_per_s",
    "settings",
    "association",
    "prefixes",
    "cost",
    "daily_segments",
    "ussd_max",
}
MOST_PER_S = 1000  # no gateway takes more
USSD_MAX, USSD_LEAST, USSD_MOST = 160, 120, 182  # septets; 160 octets hold 182 (3GPP TS 23.038)


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteSettings:
    """A gateway to be opened: its adapter, the sender that growers answer to, its rate.

    `association` is the code of the one it serves; None where the database holds only one.
    `prefixes` are the beginnings of the numbers that it serves, none for all; `cost` is that of a
    segment; `daily_segments` the most that it may send on a day; `ussd_max` the room of a USSD
    screen in GSM-7 septets.
    """

    name: str
    association: str | None
    adapter: str
    sender: str
    rate_per_s: float
    settings: Mapping[str, object]
    prefixes: tuple[str, ...] = ()
    cost: float = 0.0
    daily_segments: int | None = None
    ussd_max: int = USSD_MAX


def read_routes(value: object, faults: list[str]) -> tuple[RouteSettings, ...]:
    """Return the routes of the settings, at least one; what is wrong is added to the faults."""
    given = value if isinstance(value, list) else [value]
    tables = [table for table in given if isinstance(table, dict)]
    if not tables or len(tables) < len(given):
        faults.append("route must be a table: [route] with adapter and sender.")
        tables = tables or [{}]
    single = len(tables) == 1
    routes = tuple(_route(table, faults, named="main" if single else None) for table in tables)
    names = [(route.association, route.name) for route in routes]
    if len(set(names)) < len(names) or len({name for _, name in names}) < len(names):
        faults.append("Each route needs a name of its own: give each [[route]] another name.")
    return routes


def _route(value: Mapping[str, object], faults: list[str], *, named: str | None) -> RouteSettings:
    faults += [
        f"route.{key} is not a setting; take it out." for key in sorted(value.keys() - _KEYS)
    ]
    rate = value.get("rate_per_s", 10.0)
    if isinstance(rate, bool) or not isinstance(rate, int | float) or not 0 < rate <= MOST_PER_S:
        faults.append("route.rate_per_s must be a number of texts a second, above 0, at most 1000.")
        rate = 10.0
    adapter, sender = value.get("adapter"), value.get("sender")
    if not isinstance(adapter, str) or not adapter:
        faults.append("route.adapter must name a gateway, such as fake.")
    if not isinstance(sender, str) or not sender.lstrip("+").isdigit():
        faults.append(
            "route.sender must be a number that growers can answer to: digits, with or without +."
        )
    inner = value.get("settings", {})
    if not isinstance(inner, dict):
        faults.append("route.settings must be a table.")
        inner = {}
    name = value.get("name", named)
    if not isinstance(name, str) or not name:
        faults.append("route.name must be a word, such as main.")
    return RouteSettings(
        name=str(name),
        association=str(value["association"]) if "association" in value else None,
        adapter=str(adapter),
        sender=str(sender),
        rate_per_s=float(rate),
        settings=inner,
        prefixes=_prefixes(value.get("prefixes", []), faults),
        cost=_cost(value.get("cost", 0.0), faults),
        daily_segments=_daily(value.get("daily_segments"), faults),
        ussd_max=_ussd_max(value.get("ussd_max", USSD_MAX), faults),
    )


def _prefixes(value: object, faults: list[str]) -> tuple[str, ...]:
    if isinstance(value, list) and all(_is_prefix(item) for item in value):
        return tuple(str(item) for item in value)
    faults.append('route.prefixes must be a list of beginnings of numbers, such as ["+25571"].')
    return ()


def _is_prefix(value: object) -> bool:
    return isinstance(value, str) and value.startswith("+") and value[1:].isdecimal()


def _cost(value: object, faults: list[str]) -> float:
    if isinstance(value, int | float) and not isinstance(value, bool) and value >= 0:
        return float(value)
    faults.append("route.cost must be the price of one segment: a number, not below 0.")
    return 0.0


def _daily(value: object, faults: list[str]) -> int | None:
    if value is None:
        return None
    if isinstance(value, int) and not isinstance(value, bool) and value > 0:
        return value
    faults.append("route.daily_segments must be a whole number of segments a day, above 0.")
    return None


def _ussd_max(value: object, faults: list[str]) -> int:
    if isinstance(value, int) and not isinstance(value, bool) and USSD_LEAST <= value <= USSD_MOST:
        return value
    faults.append(
        f"route.ussd_max must be a whole number of letters, from {USSD_LEAST} to {USSD_MOST}."
    )
    return USSD_MAX
