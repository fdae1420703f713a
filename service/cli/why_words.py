"""Words for each rule of the calculator's reasons, in one table.

Marks stand for a reason's values, days and amounts written as in the answer itself.
"""

from collections.abc import Mapping
from datetime import date

from service.agronomy.reasons import Reason, RuleId, Value

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

_HARD_SPACE = "\u00a0"

WORDS: Mapping[RuleId, str] = {
    RuleId.PLANTED_TOLD: "planted on %(on)s, as reported",
    RuleId.PLANTED_ENTERED: "planted on %(on)s, as given",
    RuleId.EMERGED_TOLD: "up on %(on)s, as given",
    RuleId.EMERGED_NOT_BEFORE: "not before planting: %(on)s",
    RuleId.EMERGENCE_ASSUMED: (
        "assumed, as is usual for this crop: %(days)s days after sowing on %(planted_on)s, %(on)s"
    ),
    RuleId.EMERGENCE_ASSUMED_PLANTED_OUT: (
        "assumed, as is usual for this crop: plants grow on %(days)s days after planting out on"
        " %(planted_on)s, %(on)s"
    ),
    RuleId.SEASON_USUAL: "%(days)s days to the last harvest, as is usual for this crop",
    RuleId.SEASON_ENTERED: "%(days)s days to the last harvest, as given",
    RuleId.HARVEST_ENTERED: "first harvest on %(on)s, as given",
    RuleId.HARVEST_AT_END: (
        "harvested once, at the season's end: %(days)s days after %(planted_on)s, %(on)s"
    ),
    RuleId.HARVEST_PICKED: ("picked many times, first %(days)s days after %(planted_on)s: %(on)s"),
    RuleId.HARVEST_NOT_AFTER_END: (
        "not after the season's end, %(days)s days after %(planted_on)s: %(on)s"
    ),
    RuleId.PICKING_MONTH: "no dose in the %(days)s days up to the picking on %(harvest_on)s",
    RuleId.CUTOFF_BEARS_ON: (
        "the crop bears for years, so doses go on up to %(days)s days after %(planted_on)s: %(on)s"
    ),
    RuleId.CUTOFF_SHARE: (
        "%(share)s of %(days)s days, rounded down, is %(part)s days after %(planted_on)s: %(on)s"
    ),
    RuleId.CUTOFF_MONTH: (
        "one month, %(days)s days, before the first harvest on %(harvest_on)s: %(on)s"
    ),
    RuleId.CUTOFF_SHARE_BINDS: "the share of the season holds, no day is earlier: %(on)s",
    RuleId.CUTOFF_MONTH_BINDS: "the month holds, it is the earlier day: %(on)s",
    RuleId.DOSE_AT_PLANTING: "dose %(number)s goes with sowing or planting out: %(on)s",
    RuleId.AFTER_EMERGENCE: (
        "dose %(number)s comes %(days)s days after the plants are up on %(up_on)s: %(on)s"
    ),
    RuleId.AFTER_ASSUMED_EMERGENCE: (
        "dose %(number)s comes %(days)s days after the plants are up on %(up_on)s (assumed): %(on)s"
    ),
    RuleId.IN_RAINS: (
        "dose %(number)s comes %(days)s days after the rains begin on %(rain_on)s: %(on)s"
    ),
    RuleId.GIVEN: "given on %(on)s",
    RuleId.KEEPS_DAY: "its days have passed, so it keeps its day: %(on)s",
    RuleId.GAP: "at least %(days)s days after the dose of %(before_on)s: %(on)s",
    RuleId.HOLD: "no dose from %(first_on)s to %(last_on)s, so the day after: %(on)s",
    RuleId.AVOIDED: "%(was_on)s falls on a weekday to be avoided: %(on)s",
    RuleId.AVOIDED_KEPT: "a weekday to be avoided, but no day beside it is free: %(on)s",
    RuleId.WINDOW: "open for %(days)s days after %(due_on)s: %(on)s",
    RuleId.BEFORE_NEXT: "open up to the day before the dose of %(next_on)s: %(on)s",
    RuleId.UP_TO_CUTOFF: "open up to the last day for a dose: %(on)s",
    RuleId.OWN_DAY_ONLY: "open on its own day alone: %(on)s",
    RuleId.PAST_CUTOFF: "%(due_on)s is after the last day for a dose, %(cutoff_on)s",
    RuleId.HELD_PAST_CUTOFF: (
        "after the hold, %(held_on)s, it is past the last day for a dose, %(cutoff_on)s"
    ),
    RuleId.HELD_TOO_NEAR: (
        "after the hold, %(held_on)s, the dose of %(next_on)s is %(between)s days off, and"
        " %(days)s must lie between"
    ),
    RuleId.NO_CAN_READY: "no can was ready while it was open",
    RuleId.NO_PLANTING_DOSE: "seed this small takes no dose at sowing",
    RuleId.SITE: "the ground waits until a person has looked at it",
    RuleId.AREA_TOLD: "%(area_m2)s m2, as given",
    RuleId.AREA_USUAL: "%(area_m2)s m2, since no area was given",
    RuleId.LITRES_USUAL: "%(litres_per_m2)s L a square metre and season, the usual amount",
    RuleId.LITRES_ENTERED: "%(litres_per_m2)s L a square metre and season, as given",
    RuleId.NITROGEN_TARGET: "%(n_kg_per_ha)s kg of nitrogen a hectare, as given",
    RuleId.NITROGEN_CONTENT: "%(n_g_per_litre)s g of nitrogen in a litre of urine",
    RuleId.LITRES_FROM_NITROGEN: (
        "%(n_kg_per_ha)s kg a hectare at %(n_g_per_litre)s g a litre: %(litres_per_m2)s L a"
        " square metre and season"
    ),
    RuleId.POOR_SOIL: (
        "%(soil)s soil takes %(share)s of it: %(litres_per_m2)s L a square metre and season"
    ),
    RuleId.OVER_WARNING: "%(litres_per_m2)s L a square metre is more than %(most)s",
    RuleId.ON_AREA: "%(litres_per_m2)s L on each of %(area_m2)s m2: %(litres)s L",
    RuleId.DOSE_CAP: (
        "no dose above %(times)s equal shares: %(times)s times %(season_litres)s L by %(doses)s"
        " doses is %(litres)s L"
    ),
    RuleId.TOLD_STAYS: "%(litres)s L: told, given or past, so it stays",
    RuleId.EQUAL_SHARE: (
        "%(rest_litres)s L of the season's %(season_litres)s L are left; doses to share it:"
        " %(doses)s; each %(litres)s L"
    ),
    RuleId.CAPPED: "no dose holds more than %(litres)s L",
    RuleId.ROUNDED_DOWN: "rounded down to what can be measured: %(litres)s L",
    RuleId.DROPPED_TAKES_NOTHING: "its litres go to the doses to come",
    RuleId.NO_DOSE_LEFT: "no dose is left to take any",
    RuleId.CAP_LEAVES_OVER: "doses that may still take some: %(doses)s, at most %(litres)s L each",
    RuleId.ROUNDING_LEAVES_OVER: "what is rounded down is not poured",
    RuleId.TOLD_LEAVES_OVER: "no dose is left whose litres may change",
    RuleId.LEFT_OVER: (
        "%(poured_litres)s L of the season's %(season_litres)s L find a dose, so %(litres)s L"
        " do not"
    ),
    RuleId.IN_SPAN: "%(due_on)s lies from %(first_on)s to %(last_on)s: %(season)s",
    RuleId.SEASON_TOLD: "season: %(season)s, as given",
    RuleId.SEASON_ASSUMED: "season: %(season)s, since none was given",
    RuleId.WATER_RAINS: "in the rains no water is added unless it is chosen",
    RuleId.WATER_DRY: "in the dry season at least %(ratio)s parts of water to one",
    RuleId.WATER_CHOSEN: "%(ratio)s parts of water to one, as given",
    RuleId.WATER_RAISED: "%(chosen)s parts were chosen, in the dry season at least %(ratio)s",
    RuleId.WATER: "%(ratio)s times %(litres)s L is %(water_litres)s L of water",
    RuleId.SPACING: "rows %(row_cm)s cm apart, plants %(plant_cm)s cm, as is usual for this crop",
    RuleId.PLANTS: "%(plants)s plants on %(area_m2)s m2 at %(row_cm)s by %(plant_cm)s cm",
    RuleId.PLANT_SHARE: "%(litres)s L over %(plants)s plants is %(ml)s ml each",
    RuleId.SUM_URINE: "%(doses)s doses add up to %(litres)s L",
    RuleId.SUM_WATER: "the water of %(doses)s doses adds up to %(water_litres)s L",
    RuleId.SPREAD: "%(litres)s L on %(area_m2)s m2 is %(litres_per_m2)s L a square metre",
    RuleId.NITROGEN_CARRIED: (
        "%(litres_per_m2)s L a square metre at %(n_g_per_litre)s g a litre carry %(n_kg_per_ha)s"
        " kg of nitrogen a hectare"
    ),
    RuleId.NITROGEN_BAND: (
        "urine has from %(low)s to %(high)s g a litre if nobody measured: %(low_kg_per_ha)s to"
        " %(high_kg_per_ha)s kg a hectare"
    ),
    RuleId.LAST_GIVEN: "dose %(number)s was given last, on %(on)s",
    RuleId.LAST_PERHAPS: "dose %(number)s may be given up to %(on)s",
    RuleId.LAST_PLANNED: "dose %(number)s is the last, on %(on)s",
    RuleId.MONTH_AFTER: "%(days)s days after %(last_on)s is %(on)s",
    RuleId.MONTH_AFTER_PLANNED: "%(days)s days after %(last_on)s is %(on)s",
    RuleId.LATER_BY_NOW: "by what is known now it is later: %(on)s",
    RuleId.REGIME_TOLD: "who eats it, as given: %(regime)s",
    RuleId.REGIME_ASSUMED: "who eats it, since nobody said: %(regime)s",
    RuleId.REST_DAYS: "for %(regime)s a can rests %(days)s days",
    RuleId.RESTS: "%(days)s days after sealing on %(sealed_on)s: %(on)s",
    RuleId.LONGER_REST: "a can flagged for longer rest rests %(days)s days",
    RuleId.WARM_STORE: "a store of %(store_c)s degrees, and %(least_c)s are needed",
    RuleId.STORE_UNKNOWN: "the rest holds only at %(least_c)s degrees or more, and nobody said",
    RuleId.COLD_STORE: "a store of %(store_c)s degrees is colder than %(least_c)s",
    RuleId.TOLD_FIRST: "the grower was told of it: before doses not told yet",
    RuleId.DUE_FIRST: "turn %(place)s of %(doses)s, due on %(due_on)s",
    RuleId.YOUNGER_FIRST: (
        "due on %(due_on)s too: the plot of %(younger_on)s goes before that of %(older_on)s"
    ),
    RuleId.FROM_CAN: "can %(can)s gives %(litres)s L",
    RuleId.FROM_EXPECTED_CAN: "can %(can)s, still to be sealed, gives %(litres)s L",
    RuleId.ENOUGH: "%(litres)s L of the %(wanted_litres)s L wanted: enough",
    RuleId.SHORT: (
        "%(litres)s L of the %(wanted_litres)s L wanted by %(on)s: short by %(short_litres)s L"
    ),
}

_DECIMALS = {
    "n_kg_per_ha": 0,
    "low_kg_per_ha": 0,
    "high_kg_per_ha": 0,
    "ml": 1,
    "plants": 1,
    "litres_per_m2": 3,
}


def written_day(day: date) -> str:
    """Return a day as the calculator writes it, such as `Sun  6 Jun 2027`."""
    return f"{_WEEKDAYS[day.weekday()]} {day.day:>2} {_MONTHS[day.month - 1]} {day.year}"


def reason_words(reason: Reason) -> str:
    """Return a reason in English, its values written as in the answer.

    A day holds together by hard spaces, so that no line ends within it.
    """
    return WORDS[reason.rule] % {
        name: _written(name, value) for name, value in reason.values.items()
    }


def _written(name: str, value: Value) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, date):
        return _HARD_SPACE.join(written_day(value).split())
    if name.endswith("litres"):
        return f"{value:.3f}"
    decimals = _DECIMALS.get(name)
    return f"{value:g}" if decimals is None else f"{value:.{decimals}f}"
