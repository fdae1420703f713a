"""The days of each crop, copied by hand from the worked table and not from the service's."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class CropDays:
    """A crop's days from planting to the season's end, to emergence and to the first pick."""

    season: int
    emergence: int
    first_pick: int | None = None
    sown_bare: bool = False


# Seasons: FAO-56, Table 11, and EcoCrop; emergence: AquaCrop and from memory; first picks: from
# memory. Seed sown bare takes no dose at planting.
CROPS: Mapping[str, CropDays] = {
    "maize-grain": CropDays(season=125, emergence=6),
    "maize-green": CropDays(season=80, emergence=6),
    "sorghum": CropDays(season=130, emergence=13),
    "pearl-millet": CropDays(season=105, emergence=5),
    "rice-transplanted": CropDays(season=150, emergence=3),
    "tomato": CropDays(season=135, emergence=4, first_pick=70),
    "cabbage": CropDays(season=90, emergence=5),
    "kale": CropDays(season=75, emergence=5, first_pick=50),
    "onion": CropDays(season=150, emergence=5),
    "amaranth": CropDays(season=45, emergence=5, first_pick=30, sown_bare=True),
    "spinach": CropDays(season=65, emergence=8, first_pick=40),
    "pepper": CropDays(season=125, emergence=5, first_pick=75),
    "eggplant": CropDays(season=130, emergence=5, first_pick=75),
    "okra": CropDays(season=55, emergence=7, first_pick=55),
    "pumpkin": CropDays(season=100, emergence=7),
    "zucchini": CropDays(season=90, emergence=7, first_pick=45),
    "cassava": CropDays(season=210, emergence=10),
    "potato": CropDays(season=125, emergence=16),
    "sweet-potato": CropDays(season=125, emergence=7),
    "sunflower": CropDays(season=130, emergence=18),
}
