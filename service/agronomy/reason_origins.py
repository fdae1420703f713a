"""Where rules come from that carry no figure of their own, from `reasons.toml`."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from service.agronomy.cautions import cautions
from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text

NAMES = frozenset(
    {
        "avoided-day",
        "closed-keeps-day",
        "equal-shares",
        "follows",
        "hold",
        "measures",
        "no-can",
        "sealed-first",
        "site",
        "told-stays",
        "told-first",
        "turn",
        "usual-area",
        "usual-regime",
        "usual-season",
    }
)
_NO_KEYS: frozenset[str] = frozenset()


def rule_origin(name: str) -> Origin:
    """Return where a rule of `reasons.toml` comes from.

    Raises:
        KeyError: no rule has that name.
    """
    return rule_origins()[name]


def month_origin() -> Origin:
    """Return where the month between the last dose and the harvest comes from."""
    return next(caution.origin for caution in cautions() if caution.id == "one-month")


@cache
def rule_origins() -> Mapping[str, Origin]:
    """Return the origins by the name of their rule."""
    return load_rule_origins(table_text("reasons.toml"))


def load_rule_origins(text: str) -> Mapping[str, Origin]:
    """Return the origins of a table's text.

    Raises:
        TableError: a rule or key is missing, unknown or of the wrong kind.
    """
    raw = read_tables("reasons.toml", text)
    if raw.keys() != NAMES:
        odd = ", ".join(sorted(raw.keys() ^ NAMES))
        raise TableError(f"reasons.toml: these rules are missing or not known: {odd}.")
    return MappingProxyType(
        {name: Group(f"reasons.toml, {name}", row, _NO_KEYS).origin for name, row in raw.items()}
    )
