"""How long a sealed container must rest: decided by who will eat the crop.

The clock starts on the day of sealing, the day of the last urine added, never at first filling.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from service.agronomy.calendar import add_days
from service.agronomy.rules import rules
from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text

_KEYS = frozenset({"rest_days", "needs_warm_store", "common_practice"})
_LONGER_REST = "longer-rest"


class Regime(StrEnum):
    """Who will eat the crop."""

    OWN_HOUSEHOLD = "own-household"
    GENERAL = "general"
    SOLD_PROCESSED = "sold-processed"
    SOLD_ANY = "sold-any"


class StoreReason(StrEnum):
    """Why the store keeps a container from becoming ready."""

    STORE_UNKNOWN = "store-unknown"
    COLD_STORE = "cold-store"


@dataclass(frozen=True, slots=True, kw_only=True)
class RestRule:
    """The rest of a container under one regime."""

    rest_days: int
    needs_warm_store: bool
    common_practice: bool
    origin: Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """The day a container is ready, or the reason why no day can be named."""

    ready_on: date | None
    reason: StoreReason | None


def rest_rule(regime: Regime, *, longer_rest: bool = False) -> RestRule:
    """Return the rule for a container; a flag for longer rest goes before the regime."""
    return rest_rules()[_LONGER_REST if longer_rest else regime.value]


def rest_days(regime: Regime, *, longer_rest: bool = False) -> int:
    """Return the days from sealing to first use."""
    return rest_rule(regime, longer_rest=longer_rest).rest_days


def ready_on(sealed_on: date, *, regime: Regime, longer_rest: bool = False) -> date:
    """Return the first day of use, the store's temperature left aside."""
    return add_days(sealed_on, rest_days(regime, longer_rest=longer_rest))


def store_reason(
    regime: Regime, *, store_c: float | None, longer_rest: bool = False
) -> StoreReason | None:
    """Return why a store of this mean temperature, in degrees Celsius, is no proof of safety."""
    if not rest_rule(regime, longer_rest=longer_rest).needs_warm_store:
        return None
    if store_c is None:
        return StoreReason.STORE_UNKNOWN
    warm = store_c >= rules().least_store_celsius
    return None if warm else StoreReason.COLD_STORE


def container_ready(
    sealed_on: date, *, regime: Regime, longer_rest: bool, store_c: float | None
) -> Readiness:
    """Return when a container may be used.

    Six months count only in a store with a recorded mean of at least 20 degrees Celsius (WHO
    2006, vol. 4): without it, neither a `sold-any` nor a longer-rest container becomes ready.
    """
    reason = store_reason(regime, store_c=store_c, longer_rest=longer_rest)
    if reason is not None:
        return Readiness(ready_on=None, reason=reason)
    on = ready_on(sealed_on, regime=regime, longer_rest=longer_rest)
    return Readiness(ready_on=on, reason=None)


@cache
def rest_rules() -> Mapping[str, RestRule]:
    """Return the rules by regime, and the one for longer rest."""
    return load_rest_rules(table_text("regimes.toml"))


def load_rest_rules(text: str) -> Mapping[str, RestRule]:
    """Return the rules of a table's text.

    Raises:
        TableError: a regime or key is missing, unknown or of the wrong kind.
    """
    raw = read_tables("regimes.toml", text)
    wanted = {*(regime.value for regime in Regime), _LONGER_REST}
    if raw.keys() != wanted:
        odd = ", ".join(sorted(raw.keys() ^ wanted))
        raise TableError(f"regimes.toml: these regimes are missing or not known: {odd}.")
    return MappingProxyType({name: _rule(name, row) for name, row in raw.items()})


def _rule(name: str, raw: Mapping[str, object]) -> RestRule:
    group = Group(f"regimes.toml, {name}", raw, _KEYS)
    return RestRule(
        rest_days=group.whole("rest_days"),
        needs_warm_store=group.flag("needs_warm_store"),
        common_practice=group.flag("common_practice"),
        origin=group.origin,
    )
