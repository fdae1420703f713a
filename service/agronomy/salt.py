"""How much of a crop's yield a salty soil leaves, from `salt.toml`. Pure.

Up to a threshold nothing is lost; above it a fixed part of the yield with each further dS/m
(Maas and Hoffman 1977, as FAO gives it: Yr = 100 - b (ECe - a)).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text

_RATED = frozenset({"rating"})
_MEASURED = frozenset({"rating", "threshold_ds_per_m", "slope_percent"})
_PERCENT = 100


class SaltRating(StrEnum):
    """How well a crop bears salt."""

    SENSITIVE = "S"
    MODERATELY_SENSITIVE = "MS"
    MODERATELY_TOLERANT = "MT"
    TOLERANT = "T"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltRow:
    """A crop's rating; threshold in dS/m and slope in percent a dS/m where they were measured."""

    rating: SaltRating
    threshold_ds_per_m: float | None
    slope_percent: float | None
    origin: Origin


def yield_share(crop_id: str, ece_ds_per_m: float) -> float | None:
    """Return the part of the yield, from 0 to 1, that a soil of this salt leaves.

    `ece_ds_per_m` is the conductivity of the saturated soil paste. None where the crop was not
    measured.

    Raises:
        ValueError: the soil's salt is below nothing, or no number.
    """
    if not ece_ds_per_m >= 0:
        raise ValueError("the salt of a soil is a number from 0 up")
    row = salt_rows().get(crop_id)
    if row is None or row.threshold_ds_per_m is None or row.slope_percent is None:
        return None
    lost = row.slope_percent * max(0.0, ece_ds_per_m - row.threshold_ds_per_m)
    return max(0.0, _PERCENT - lost) / _PERCENT


@cache
def salt_rows() -> Mapping[str, SaltRow]:
    """Return how crops bear salt, by the crop's id; crops that nobody rated are left out."""
    return load_salt_rows(table_text("salt.toml"))


def load_salt_rows(text: str) -> Mapping[str, SaltRow]:
    """Return the rows of a table's text.

    Raises:
        TableError: a key is missing, unknown or of the wrong kind.
    """
    tables = read_tables("salt.toml", text)
    return MappingProxyType({crop_id: _row(crop_id, raw) for crop_id, raw in tables.items()})


def _row(crop_id: str, raw: Mapping[str, object]) -> SaltRow:
    measured = bool(raw.keys() & (_MEASURED - _RATED))
    group = Group(f"salt.toml, {crop_id}", raw, _MEASURED if measured else _RATED)
    try:
        rating = SaltRating(group.word("rating"))
    except ValueError as error:
        words = ", ".join(each.value for each in SaltRating)
        raise TableError(f"salt.toml, {crop_id}: rating must be one of {words}.") from error
    return SaltRow(
        rating=rating,
        threshold_ds_per_m=group.number("threshold_ds_per_m") if measured else None,
        slope_percent=group.number("slope_percent") if measured else None,
        origin=group.origin,
    )
