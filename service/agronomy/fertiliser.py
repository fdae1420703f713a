"""What urine is worth: its nutrients, the bought fertiliser it stands for, and money. Pure.

Nitrogen counts for as much bought nitrogen as it replaces: all of it where the urine is covered
at once, less where it lies on the ground.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from types import MappingProxyType

from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text

_GRAMS_PER_KG = 1_000
_PERCENT = 100
_CENT = Decimal("0.01")
_PRODUCT = frozenset({"n_percent", "p2o5_percent", "k2o_percent"})
_KEYS: Mapping[str, frozenset[str]] = {
    "oxides": frozenset({"p_in_p2o5", "k_in_k2o"}),
    "urine-usual": frozenset({"p_g_per_litre", "k_g_per_litre"}),
    "urine-high": frozenset({"p_g_per_litre", "k_g_per_litre"}),
    "covered": frozenset({"replaces_share"}),
    "on-surface": frozenset({"replaces_share"}),
}
_NEEDED = frozenset({"urea", "can"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Fertiliser:
    """A bought fertiliser: the parts of it, from 0 to 1, that are N, P and K (no oxides)."""

    id: str
    n_share: float
    p_share: float
    k_share: float
    origin: Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class FertiliserTable:
    """Bought fertilisers by id, and what urine holds and replaces; `origins` by table."""

    products: Mapping[str, Fertiliser] = field(hash=False)
    p_g_per_litre: float
    high_p_g_per_litre: float
    k_g_per_litre: float
    high_k_g_per_litre: float
    covered_share: float
    surface_share: float
    origins: Mapping[str, Origin] = field(hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """What so much urine is worth, in kilograms.

    Attributes:
        n_kg: nitrogen in the urine.
        bought_n_kg: bought nitrogen that it stands for; urea and CAN are worked out from this.
        p_kg: phosphorus, by an East African diet; `high_p_kg` by a Swedish one. So for K.
        urea_kg: urea with as much nitrogen.
        can_kg: calcium ammonium nitrate with as much; not in addition to the urea.
    """

    n_kg: float
    bought_n_kg: float
    p_kg: float
    high_p_kg: float
    k_kg: float
    high_k_kg: float
    urea_kg: float
    can_kg: float


def value_if_covered(litres: float, *, n_g_per_litre: float) -> Value:
    """Return what urine is worth that is covered or watered in at once."""
    return _value(litres, n_g_per_litre, fertiliser_table().covered_share)


def value_on_surface(litres: float, *, n_g_per_litre: float) -> Value:
    """Return what urine is worth that stays on the ground (Martin et al. 2023)."""
    return _value(litres, n_g_per_litre, fertiliser_table().surface_share)


def litres_for_kg(product: Fertiliser, kg: float, *, n_g_per_litre: float) -> float:
    """Return the litres of urine, covered at once, with the nitrogen of so much fertiliser."""
    n_g = kg * product.n_share * _GRAMS_PER_KG
    return n_g / (n_g_per_litre * fertiliser_table().covered_share)


def money(kg: float, price_per_kg: Decimal) -> Decimal:
    """Return what so many kilograms cost, to the hundredth.

    Raises:
        ValueError: the weight or the price is below nothing, or no number.
    """
    if not (kg >= 0 and price_per_kg >= 0 and kg < float("inf") and price_per_kg.is_finite()):
        raise ValueError("a weight and a price are numbers from 0 up")
    # the shortest decimal that names the float: its binary tail is no weight anybody meant
    return (Decimal(repr(float(kg))) * price_per_kg).quantize(_CENT, rounding=ROUND_HALF_UP)


@cache
def fertiliser_table() -> FertiliserTable:
    """Return the fertilisers and the figures of urine."""
    return load_fertilisers(table_text("fertiliser.toml"))


def load_fertilisers(text: str) -> FertiliserTable:
    """Return the figures of a table's text.

    Raises:
        TableError: a table or key is missing, unknown or of the wrong kind.
    """
    raw = read_tables("fertiliser.toml", text)
    missing = (_KEYS.keys() | _NEEDED) - raw.keys()
    if missing:
        raise TableError(f"fertiliser.toml: add {', '.join(sorted(missing))}.")
    groups = {
        name: Group(f"fertiliser.toml, {name}", row, _KEYS.get(name, _PRODUCT))
        for name, row in raw.items()
    }
    usual, high, oxides = groups["urine-usual"], groups["urine-high"], groups["oxides"]
    return FertiliserTable(
        products=MappingProxyType(
            {
                name: _product(name, group, oxides)
                for name, group in groups.items()
                if name not in _KEYS
            }
        ),
        p_g_per_litre=usual.number("p_g_per_litre"),
        high_p_g_per_litre=high.number("p_g_per_litre"),
        k_g_per_litre=usual.number("k_g_per_litre"),
        high_k_g_per_litre=high.number("k_g_per_litre"),
        covered_share=groups["covered"].number("replaces_share"),
        surface_share=groups["on-surface"].number("replaces_share"),
        origins=MappingProxyType({name: group.origin for name, group in groups.items()}),
    )


def _product(name: str, group: Group, oxides: Group) -> Fertiliser:
    return Fertiliser(
        id=name,
        n_share=group.number("n_percent") / _PERCENT,
        p_share=group.number("p2o5_percent") / _PERCENT * oxides.number("p_in_p2o5"),
        k_share=group.number("k2o_percent") / _PERCENT * oxides.number("k_in_k2o"),
        origin=group.origin,
    )


def _value(litres: float, n_g_per_litre: float, replaces_share: float) -> Value:
    if not litres >= 0:
        raise ValueError("urine is measured from 0 litres up")
    table = fertiliser_table()
    n_kg = litres * n_g_per_litre / _GRAMS_PER_KG
    bought_n_kg = n_kg * replaces_share
    return Value(
        n_kg=n_kg,
        bought_n_kg=bought_n_kg,
        p_kg=litres * table.p_g_per_litre / _GRAMS_PER_KG,
        high_p_kg=litres * table.high_p_g_per_litre / _GRAMS_PER_KG,
        k_kg=litres * table.k_g_per_litre / _GRAMS_PER_KG,
        high_k_kg=litres * table.high_k_g_per_litre / _GRAMS_PER_KG,
        urea_kg=bought_n_kg / table.products["urea"].n_share,
        can_kg=bought_n_kg / table.products["can"].n_share,
    )
