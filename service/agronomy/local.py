"""Local figures: what stands here in the place of the tables', each with its written source.

The most particular figure holds: one for this area before one for all, then one for this crop,
then one for this soil; of equals the one entered last. The tables' own figures stay beside them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from service.agronomy.crops import Crop
from service.agronomy.dosing import litres_per_m2
from service.agronomy.rules import rules
from service.agronomy.season import Soil
from service.agronomy.tables import Found, Origin


class LocalKey(StrEnum):
    """Which figure is local."""

    SEASON_DAYS = "season-days"
    EMERGENCE_DAYS = "emergence-days"
    FIRST_HARVEST_DAYS = "first-harvest-days"
    ROW_CM = "row-cm"
    PLANT_CM = "plant-cm"
    N_KG_PER_HA = "n-kg-ha"
    N_G_PER_LITRE = "n-g-l"
    PATTERN = "pattern"


_GROUPS = {
    LocalKey.SEASON_DAYS: ("season", "season_days"),
    LocalKey.EMERGENCE_DAYS: ("emergence", "emergence_days"),
    LocalKey.FIRST_HARVEST_DAYS: ("first_harvest", "first_harvest_days"),
    LocalKey.ROW_CM: ("spacing", "row_cm"),
    LocalKey.PLANT_CM: ("spacing", "plant_cm"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalValue:
    """A figure entered here; `area_id`, `crop` and `soil` are None where it holds for all.

    `value` is a number, or for a pattern the days after emergence by comma.
    """

    key: LocalKey
    value: str
    source: str
    area_id: int | None = None
    crop: str | None = None
    soil: Soil | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalFigures:
    """What a planting is planned with. `n_kg_per_ha` is None where no nitrogen target is known."""

    crop: Crop
    after_emergence_days: tuple[int, ...]
    litres_per_m2: float
    n_kg_per_ha: float | None
    n_g_per_litre: float
    pattern_origin: Origin
    amount_origin: Origin
    nitrogen_origin: Origin


def local_figures(
    crop: Crop, *, area_id: int | None, soil: Soil, values: Sequence[LocalValue]
) -> LocalFigures:
    """Return a crop's row and the general figures with the local ones put in."""
    found: dict[LocalKey, LocalValue] = {}
    for value in sorted(
        (value for value in values if _holds(value, crop, area_id, soil)), key=_particular
    ):
        found[value.key] = value
    pattern = found.get(LocalKey.PATTERN)
    target, content = found.get(LocalKey.N_KG_PER_HA), found.get(LocalKey.N_G_PER_LITRE)
    n_g_per_litre = rules().usual_g_per_litre if content is None else float(content.value)
    n_kg_per_ha = None if target is None else float(target.value)
    origins = rules().origins
    return LocalFigures(
        crop=_local_crop(crop, found),
        after_emergence_days=rules().after_emergence_days
        if pattern is None
        else tuple(int(days) for days in pattern.value.split(",")),
        litres_per_m2=rules().litres_per_m2
        if n_kg_per_ha is None
        else litres_per_m2(n_kg_per_ha=n_kg_per_ha, n_g_per_litre=n_g_per_litre),
        n_kg_per_ha=n_kg_per_ha,
        n_g_per_litre=n_g_per_litre,
        pattern_origin=_origin(pattern) or origins["pattern"],
        amount_origin=_origin(target) or origins["amount"],
        nitrogen_origin=_origin(content) or origins["nitrogen"],
    )


def _holds(value: LocalValue, crop: Crop, area_id: int | None, soil: Soil) -> bool:
    return (
        value.area_id in (None, area_id)
        and value.crop in (None, crop.id)
        and value.soil in (None, soil)
    )


def _particular(value: LocalValue) -> tuple[bool, bool, bool]:
    return (value.area_id is not None, value.crop is not None, value.soil is not None)


def _origin(value: LocalValue | None) -> Origin | None:
    return None if value is None else Origin(source=value.source, found=Found.LOCAL)


def _local_crop(crop: Crop, found: dict[LocalKey, LocalValue]) -> Crop:
    changed: dict[str, int] = {}
    origins = dict(crop.origins)
    for key, (group, name) in _GROUPS.items():
        value = found.get(key)
        if value is not None:
            changed[name] = int(float(value.value))
            origins[group] = Origin(source=value.source, found=Found.LOCAL)
    if not changed:
        return crop
    season_days = changed.get("season_days", crop.season_days)
    picked = changed.get("first_harvest_days", crop.first_harvest_days)
    return replace(
        crop,
        origins=origins,
        season_days=season_days,
        # a crop harvested once is ripe when its season ends, and none is picked after it
        first_harvest_days=min(season_days, picked) if crop.picked_repeatedly else season_days,
        emergence_days=changed.get("emergence_days", crop.emergence_days),
        row_cm=changed.get("row_cm", crop.row_cm),
        plant_cm=changed.get("plant_cm", crop.plant_cm),
    )
