"""An association as in life, of any size, in a PostgreSQL database: made up, and always the same.

Crops, seasons, emergence, areas and cans vary as they do between households. The plants' day is
told ahead, so that no dose's days have passed: what is measured is a season's plan.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np
import numpy.typing as npt

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop

OPENS_ON = date(2027, 2, 28)  # the eve of the season: all is planted in the 90 days after it
PLANTING_DAYS = 90
RAINS_DAYS = 95
AREAS = 8
MADE_AT = datetime(2027, 2, 20, 6, 0, tzinfo=UTC)
# parts in a hundred; crops that the calendar refuses (legumes, perennials) get no doses
CROP_PARTS: Mapping[str, float] = {
    "maize-grain": 27,
    "maize-green": 6,
    "sorghum": 6,
    "pearl-millet": 4,
    "rice-transplanted": 4,
    "tomato": 8,
    "cabbage": 5,
    "kale": 8,
    "onion": 4,
    "amaranth": 6,
    "spinach": 3,
    "pepper": 2,
    "eggplant": 2,
    "okra": 2,
    "pumpkin": 2,
    "zucchini": 1,
    "cassava": 3,
    "potato": 2,
    "sweet-potato": 3,
    "sunflower": 2,
}
REGIMES = ("own-household", "general", "sold-processed", "sold-any")
REGIME_PARTS = (0.35, 0.4, 0.15, 0.1)
CAN_LITRES = (20.0, 60.0, 120.0, 200.0)
CAN_PARTS = (0.45, 0.25, 0.15, 0.15)

Rows = Iterator[tuple[object, ...]]
Whole = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """The numbers behind an association; place in an array is the id less one."""

    household_of: Whole  # by plot
    households: int
    crop_names: tuple[str, ...]  # by plot
    planted_days: Whole
    up_days: Whole  # -1 where nobody has told
    season_days: Whole  # -1 for the crop's usual
    first_harvest_days: Whole  # -1 for the crop's usual
    area_m2: Whole
    litres_per_m2: npt.NDArray[np.float64]  # 0 for the usual
    water_ratio: Whole  # -1 for the season's
    regime: tuple[str, ...]  # by household
    avoid_weekday: Whole  # by household; -1 for none
    cans: Whole  # by household
    can_litres: npt.NDArray[np.float64]
    rest_days: Whole  # since sealing, by can


def a_life(plots: int, *, seed: int) -> Life:
    """Return an association of so many plots, each with one planting."""
    rng = np.random.default_rng(seed)
    sizes = np.clip(1 + rng.poisson(2.0, plots), 1, 8)
    household_of = np.repeat(np.arange(plots), sizes)[:plots]
    households = int(household_of[-1]) + 1
    parts = np.array(list(CROP_PARTS.values())) / sum(CROP_PARTS.values())
    names = np.array(list(CROP_PARTS))[rng.choice(len(parts), plots, p=parts)]
    usual = np.array([crop(str(name)).season_days for name in names])
    up = np.array([crop(str(name)).emergence_days for name in names])
    own_season = np.maximum(25, (usual * rng.normal(1, 0.08, plots) / 5).round() * 5).astype(int)
    season_days = np.where(rng.random(plots) < 0.5, own_season, -1)
    seasons = np.where(season_days < 0, usual, season_days)
    harvest = (seasons * rng.uniform(0.5, 1.0, plots)).astype(int)
    reported = np.maximum(2, up + rng.normal(0, 2.5, plots).round()).astype(int)
    cans = rng.integers(2, 9, households)
    return Life(
        household_of=household_of,
        households=households,
        crop_names=tuple(str(name) for name in names),
        planted_days=np.clip(rng.normal(35, 18, plots), 1, PLANTING_DAYS).astype(int),
        up_days=np.where(rng.random(plots) < 0.55, reported, -1),
        season_days=season_days,
        first_harvest_days=np.where(rng.random(plots) < 0.3, np.maximum(10, harvest), -1),
        area_m2=np.clip(rng.lognormal(4.1, 0.9, plots), 4, 4_000).round().astype(int),
        litres_per_m2=rng.choice([0.0, 1.0, 2.0], plots, p=[0.85, 0.1, 0.05]),
        water_ratio=rng.choice([-1, 1, 3], plots, p=[0.85, 0.1, 0.05]),
        regime=tuple(str(name) for name in rng.choice(REGIMES, households, p=REGIME_PARTS)),
        avoid_weekday=np.where(rng.random(households) < 0.25, rng.integers(0, 7, households), -1),
        cans=cans,
        can_litres=rng.choice(CAN_LITRES, int(cans.sum()), p=CAN_PARTS),
        rest_days=rng.integers(5, 200, int(cans.sum())),
    )


def rows_of(life: Life) -> Iterable[tuple[str, str, Rows]]:
    """Return each table's name, its columns, and its rows, in the order they can be stored."""
    yield "association", _ASSOCIATION, iter([_association()])
    yield "area", "id,association_id,code,name", ((n, 1, f"A{n}", f"A{n}") for n in _areas())
    yield "season_span", _SPAN, _spans()
    yield "local_value", _VALUE, _values()
    yield "household", _HOUSEHOLD, _households(life)
    yield "plot", _PLOT, _plots(life)
    yield "planting", _PLANTING, _plantings(life)
    yield "planting_fact", _FACT, _facts(life)
    yield "container", _CAN, _cans(life)
    yield "container_event", _CAN_EVENT, _can_events(life)


_ASSOCIATION = "id,code,name,zone,country,language,phone,cost,store_c,recorded_at"
_HOUSEHOLD = (
    "id,association_id,area_id,code,alias,label,adults,children,regime,language,word,discreet,"
    "remind_minute,needs_call,cup_ml,collected_share,avoid_weekday,recorded_at"
)
_SPAN = "association_id,area_id,season,first_on,last_on,noted_by,recorded_at"
_VALUE = "association_id,area_id,crop,key,value,source,noted_by,recorded_at"
_PLOT = "id,association_id,household_id,code,letter,area_m2,soil,measured,recorded_at"
_PLANTING = (
    "id,association_id,plot_id,code,crop,planted_on,season,water_ratio,litres_per_m2,season_days,"
    "first_harvest_on,drained,recorded_at"
)
_FACT = 'association_id,planting_id,kind,"on",source,recorded_at'
_CAN = "id,association_id,household_id,number,litres,longer_rest,recorded_at"
_CAN_EVENT = 'association_id,container_id,kind,"on",source,recorded_at'


def _association() -> tuple[object, ...]:
    zone = "Africa/Dar_es_Salaam"
    return (1, "life", "Made Up", zone, "TZ", "en", "+255100000090", "free", 24, MADE_AT)


def _areas() -> range:
    return range(1, AREAS + 1)


def _spans() -> Rows:
    ends_on = add_days(OPENS_ON, RAINS_DAYS)
    for area in _areas():
        yield (1, area, "rains", OPENS_ON, ends_on, "x", MADE_AT)
        yield (1, area, "dry", add_days(ends_on, 1), add_days(ends_on, 120), "x", MADE_AT)


def _values() -> Rows:
    for area in (1, 2):
        yield (1, area, "maize-grain", "season-days", "115", "local seed", "x", MADE_AT)
    yield (1, 3, "sorghum", "emergence-days", "8", "local seed", "x", MADE_AT)
    yield (1, None, "kale", "n-kg-ha", "60", "local advice", "x", MADE_AT)


def _households(life: Life) -> Rows:
    for place, regime in enumerate(life.regime):
        name, avoided = f"H{place + 1}", int(life.avoid_weekday[place])
        yield (
            *(place + 1, 1, place % AREAS + 1, name, name, name[-8:], 2, 1, regime, "en", None),
            *(False, 1080, False, 250, 1, None if avoided < 0 else avoided, MADE_AT),
        )


def _plots(life: Life) -> Rows:
    last, number = -1, 0
    for place, household in enumerate(life.household_of.tolist()):
        number = number + 1 if household == last else 1
        last = household
        letter, area = "ADGJMPTW"[number - 1], int(life.area_m2[place])
        yield (place + 1, 1, household + 1, f"P{number}", letter, area, "normal", "", MADE_AT)


def _plantings(life: Life) -> Rows:
    for place, name in enumerate(life.crop_names):
        planted_on = add_days(OPENS_ON, int(life.planted_days[place]))
        days, picked = int(life.season_days[place]), int(life.first_harvest_days[place])
        ratio, litres = int(life.water_ratio[place]), float(life.litres_per_m2[place])
        yield (
            *(place + 1, 1, place + 1, "S1", name, planted_on, "rains"),
            *(None if ratio < 0 else ratio, litres or None, None if days < 0 else days),
            *(None if picked < 0 else add_days(planted_on, picked), True, MADE_AT),
        )


def _facts(life: Life) -> Rows:
    for place, up in enumerate(life.up_days.tolist()):
        if up >= 0:
            on = add_days(OPENS_ON, int(life.planted_days[place]) + up)
            yield (1, place + 1, "emerged", on, "call", MADE_AT)


def _cans(life: Life) -> Rows:
    can = 0
    for household, count in enumerate(life.cans.tolist()):
        for number in range(1, count + 1):
            yield (can + 1, 1, household + 1, number, float(life.can_litres[can]), False, MADE_AT)
            can += 1


def _can_events(life: Life) -> Rows:
    for can, rested in enumerate(life.rest_days.tolist()):
        sealed_on = add_days(OPENS_ON, -rested)
        yield (1, can + 1, "opened", add_days(sealed_on, -20), "form", MADE_AT)
        yield (1, can + 1, "sealed", sealed_on, "form", MADE_AT)
