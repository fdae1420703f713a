"""Figures that hold for every crop, from `rules.toml`."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from types import MappingProxyType

from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text

_KEYS: Mapping[str, frozenset[str]] = {
    "pattern": frozenset({"after_emergence_days"}),
    "timing": frozenset({"min_gap_days", "window_days"}),
    "season_share": frozenset({"least", "most"}),
    "amount": frozenset({"litres_per_m2"}),
    "ceiling": frozenset({"warn_litres_per_m2", "refuse_litres_per_m2"}),
    "dose_cap": frozenset({"times_equal_share"}),
    "soil": frozenset({"salty_or_dry_share"}),
    "nitrogen": frozenset({"usual_g_per_litre", "low_g_per_litre", "high_g_per_litre"}),
    "measured": frozenset({"least_g_per_litre", "most_g_per_litre"}),
    "water": frozenset({"dry_least_ratio", "most_ratio"}),
    "area": frozenset({"least_m2", "most_m2"}),
    "store": frozenset({"least_celsius"}),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """The general figures; `origins` holds a source for each table of `rules.toml`."""

    after_emergence_days: tuple[int, ...]
    min_gap_days: int
    window_days: int
    least_share: Fraction
    most_share: Fraction
    litres_per_m2: float
    warn_litres_per_m2: float
    refuse_litres_per_m2: float
    cap_times_equal_share: float
    salty_or_dry_share: float
    usual_g_per_litre: float
    low_g_per_litre: float
    high_g_per_litre: float
    least_measured_g_per_litre: float
    most_measured_g_per_litre: float
    dry_least_water_ratio: float
    most_water_ratio: float
    least_area_m2: float
    most_area_m2: float
    least_store_celsius: float
    origins: Mapping[str, Origin] = field(hash=False)

    @property
    def doses_in_pattern(self) -> int:
        """The doses of a full season, the one at planting among them."""
        return 1 + len(self.after_emergence_days)


@cache
def rules() -> Rules:
    """Return the general figures."""
    return load_rules(table_text("rules.toml"))


def load_rules(text: str) -> Rules:
    """Return the figures of a table's text.

    Raises:
        TableError: a table or key is missing, unknown or of the wrong kind.
    """
    raw = read_tables("rules.toml", text)
    if raw.keys() != _KEYS.keys():
        odd = ", ".join(sorted(raw.keys() ^ _KEYS.keys()))
        raise TableError(f"rules.toml: these tables are missing or not known: {odd}.")
    groups = {name: Group(f"rules.toml, {name}", raw[name], _KEYS[name]) for name in _KEYS}
    timing, ceiling, nitrogen = groups["timing"], groups["ceiling"], groups["nitrogen"]
    measured, water, area = groups["measured"], groups["water"], groups["area"]
    return Rules(
        after_emergence_days=groups["pattern"].wholes("after_emergence_days"),
        min_gap_days=timing.whole("min_gap_days"),
        window_days=timing.whole("window_days"),
        least_share=_share(groups["season_share"], "least"),
        most_share=_share(groups["season_share"], "most"),
        litres_per_m2=groups["amount"].number("litres_per_m2"),
        warn_litres_per_m2=ceiling.number("warn_litres_per_m2"),
        refuse_litres_per_m2=ceiling.number("refuse_litres_per_m2"),
        cap_times_equal_share=groups["dose_cap"].number("times_equal_share"),
        salty_or_dry_share=groups["soil"].number("salty_or_dry_share"),
        usual_g_per_litre=nitrogen.number("usual_g_per_litre"),
        low_g_per_litre=nitrogen.number("low_g_per_litre"),
        high_g_per_litre=nitrogen.number("high_g_per_litre"),
        least_measured_g_per_litre=measured.number("least_g_per_litre"),
        most_measured_g_per_litre=measured.number("most_g_per_litre"),
        dry_least_water_ratio=water.number("dry_least_ratio"),
        most_water_ratio=water.number("most_ratio"),
        least_area_m2=area.number("least_m2"),
        most_area_m2=area.number("most_m2"),
        least_store_celsius=groups["store"].number("least_celsius"),
        origins=MappingProxyType({name: group.origin for name, group in groups.items()}),
    )


def _share(group: Group, key: str) -> Fraction:
    try:
        return Fraction(group.word(key))
    except (ValueError, ZeroDivisionError) as error:
        raise TableError(f'rules.toml, season_share: write {key} like "2/3".') from error
