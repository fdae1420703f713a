"""What a household collects a day, and when its cans will be full. Pure.

A household has one stream of urine: it goes into one can after another, never into two at once.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from math import ceil
from types import MappingProxyType

from service.agronomy.allotment import Stock
from service.agronomy.calendar import add_days, days_between
from service.agronomy.containers import CanStanding
from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text

_KEYS: Mapping[str, frozenset[str]] = {
    "adult": frozenset({"low_litres", "usual_litres", "high_litres"}),
    "child": frozenset({"share_of_adult"}),
    "horizon": frozenset({"most_days"}),
}
_NOISE = 1e-9  # a day that is full but for the noise of its sum is no further day


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A figure with the band it lies in."""

    low: float
    usual: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyRules:
    """Litres an adult passes a day, a child's part of it, and how far ahead is looked."""

    adult_litres: Band
    child_share: float
    most_days: int
    origins: Mapping[str, Origin] = field(hash=False)


def daily_litres(*, adults: int, children: int, share: float) -> Band:
    """Return the litres a household collects a day.

    Args:
        adults: people who pass an adult's amount.
        children: people who pass about half of it (WHO 2006).
        share: from 0 to 1, the part of it that is collected.

    Raises:
        ValueError: there are fewer people than none, or the share is no share.
    """
    if not (adults >= 0 and children >= 0 and 0 <= share <= 1):
        raise ValueError("people are counted from 0 up, and a share lies between 0 and 1")
    figures = supply_rules()
    people = (adults + children * figures.child_share) * share
    litres = figures.adult_litres
    return Band(low=people * litres.low, usual=people * litres.usual, high=people * litres.high)


def days_to_fill(volume_litres: float, litres_a_day: float) -> int | None:
    """Return the days until so much is collected, counted up; None where nothing is collected."""
    if not volume_litres > 0:
        return 0
    if not litres_a_day > _NOISE:
        return None
    return _whole_days(volume_litres / litres_a_day)


def forecast_stocks(
    cans: Sequence[CanStanding], *, litres_a_day: float, today: date
) -> tuple[Stock, ...]:
    """Return the cans that are not sealed yet as they will be, in the order they fill.

    The cans being filled come first, the one opened first before the others, then the empty ones
    in the order given. A can takes the stream from the day it was opened, and not before the can
    ahead of it is full: so what two cans opened side by side hold together is never more than was
    collected since the first was opened. Each counts as sealed on the day it is full, never
    before today. Left out are cans that leaked until they are opened again, and cans that will
    not be full within the horizon of `supply.toml`.
    """
    if not litres_a_day > _NOISE:
        return ()
    found: list[Stock] = []
    free_in = float("-inf")  # days from today until the stream turns to the next can
    for can in _in_turn(cans):
        opened_in = 0 if can.opened_on is None else days_between(today, can.opened_on)
        free_in = max(free_in, opened_in) + can.facts.volume_litres / litres_a_day
        if free_in > supply_rules().most_days:
            break
        found.append(
            Stock(
                can=can.facts.can,
                sealed_on=add_days(today, max(0, _whole_days(free_in))),
                litres=can.facts.volume_litres,
                longer_rest=can.facts.longer_rest,
                forecast=True,
            )
        )
    return tuple(found)


@cache
def supply_rules() -> SupplyRules:
    """Return the figures of supply."""
    return load_supply_rules(table_text("supply.toml"))


def load_supply_rules(text: str) -> SupplyRules:
    """Return the figures of a table's text.

    Raises:
        TableError: a table or key is missing, unknown or of the wrong kind.
    """
    raw = read_tables("supply.toml", text)
    if raw.keys() != _KEYS.keys():
        odd = ", ".join(sorted(raw.keys() ^ _KEYS.keys()))
        raise TableError(f"supply.toml: these tables are missing or not known: {odd}.")
    groups = {name: Group(f"supply.toml, {name}", raw[name], _KEYS[name]) for name in _KEYS}
    adult = groups["adult"]
    return SupplyRules(
        adult_litres=Band(
            low=adult.number("low_litres"),
            usual=adult.number("usual_litres"),
            high=adult.number("high_litres"),
        ),
        child_share=groups["child"].number("share_of_adult"),
        most_days=groups["horizon"].whole("most_days"),
        origins=MappingProxyType({name: group.origin for name, group in groups.items()}),
    )


def _in_turn(cans: Sequence[CanStanding]) -> list[CanStanding]:
    filling = [can for can in cans if can.sealed_on is None and can.opened_on is not None]
    empty = [
        can
        for can in cans
        if can.sealed_on is None and can.opened_on is None and can.leaked_on is None
    ]
    return [*sorted(filling, key=lambda can: can.opened_on or date.min), *empty]


def _whole_days(days: float) -> int:
    return ceil(days - _NOISE)
