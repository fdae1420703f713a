"""The crop table: one row of `crops.toml` a crop, each group of figures with its source."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text
from service.errors import RefusedError

_FLAGS = frozenset(
    {"transplanted", "legume", "perennial", "needs_drained", "planting_dose", "eaten_raw"}
)
_GROUPS: Mapping[str, frozenset[str]] = {
    "season": frozenset({"season_days"}),
    "emergence": frozenset({"emergence_days"}),
    "first_harvest": frozenset({"first_harvest_days"}),
    "spacing": frozenset({"row_cm", "plant_cm"}),
    "nature": _FLAGS,
}
_OPTIONAL = frozenset({"first_harvest"})


class UnknownCropError(RefusedError):
    """A planting names a crop that the table lacks."""

    def __init__(self, crop_id: str) -> None:
        super().__init__(
            "unknown-crop", f"There is no crop called {crop_id!r}; choose one from the list."
        )
        self.crop_id = crop_id


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """A crop as the plan needs it. Days run from sowing, or from planting out if transplanted.

    `first_harvest_days` equals `season_days` unless the crop is picked repeatedly. `origins`
    holds one source for each group: season, emergence, first_harvest, spacing, nature.
    """

    id: str
    season_days: int
    emergence_days: int
    first_harvest_days: int
    picked_repeatedly: bool
    row_cm: int
    plant_cm: int
    transplanted: bool
    legume: bool
    perennial: bool
    needs_drained: bool
    planting_dose: bool
    eaten_raw: bool
    origins: Mapping[str, Origin] = field(hash=False)

    @property
    def m2_per_plant(self) -> float:
        """The ground of one plant, in square metres."""
        return self.row_cm * self.plant_cm / 10_000


def crop(crop_id: str) -> Crop:
    """Return a crop by its id.

    Raises:
        UnknownCropError: the table has no such crop.
    """
    found = crops().get(crop_id)
    if found is None:
        raise UnknownCropError(crop_id)
    return found


@cache
def crops() -> Mapping[str, Crop]:
    """Return every crop by its id, in the table's order."""
    return load_crops(table_text("crops.toml"))


def load_crops(text: str) -> Mapping[str, Crop]:
    """Return the crops of a table's text.

    Raises:
        TableError: a key is missing, unknown or of the wrong kind, or figures contradict.
    """
    tables = read_tables("crops.toml", text)
    return MappingProxyType({crop_id: _crop(crop_id, raw) for crop_id, raw in tables.items()})


def _crop(crop_id: str, raw: Mapping[str, object]) -> Crop:
    unknown, missing = raw.keys() - _GROUPS.keys(), _GROUPS.keys() - raw.keys() - _OPTIONAL
    if unknown:
        raise TableError(f"crops.toml, {crop_id}: take out {', '.join(sorted(unknown))}.")
    if missing:
        raise TableError(f"crops.toml, {crop_id}: add {', '.join(sorted(missing))}.")
    groups = {
        name: Group(f"crops.toml, {crop_id}.{name}", raw[name], keys)
        for name, keys in _GROUPS.items()
        if name in raw
    }
    season_days = groups["season"].whole("season_days")
    first_harvest_days = season_days
    if "first_harvest" in groups:
        first_harvest_days = groups["first_harvest"].whole("first_harvest_days")
    if not 0 < first_harvest_days <= season_days:
        raise TableError(f"crops.toml, {crop_id}: the first harvest must fall within the season.")
    nature, spacing = groups["nature"], groups["spacing"]
    row_cm, plant_cm = spacing.whole("row_cm"), spacing.whole("plant_cm")
    if not row_cm * plant_cm:
        raise TableError(f"crops.toml, {crop_id}: plants need a distance of more than 0 cm.")
    origins = {name: group.origin for name, group in groups.items()}
    return Crop(
        id=crop_id,
        season_days=season_days,
        emergence_days=groups["emergence"].whole("emergence_days"),
        first_harvest_days=first_harvest_days,
        picked_repeatedly="first_harvest" in groups,
        row_cm=row_cm,
        plant_cm=plant_cm,
        transplanted=nature.flag("transplanted"),
        legume=nature.flag("legume"),
        perennial=nature.flag("perennial"),
        needs_drained=nature.flag("needs_drained"),
        planting_dose=nature.flag("planting_dose"),
        eaten_raw=nature.flag("eaten_raw"),
        origins=MappingProxyType({"first_harvest": origins["season"], **origins}),
    )
