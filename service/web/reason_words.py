"""Sentences for the rules of a planting's reasons, in one table."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from service.agronomy.dosing import Season
from service.agronomy.reasons import Reason, RuleId, Value
from service.web.sentence import Sentence, sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Naming:
    """How a reader is told what a reason's values stand for.

    Attributes:
        day: a day in words.
        code: a dose's reply code, by its number.
        cans: a container's number, by its id.
        crop: the word for the crop.
        what: the word for what is poured.
    """

    day: Callable[[date], str]
    code: Callable[[int], str] = str
    cans: Mapping[int, int] = field(default_factory=dict)
    crop: str = ""
    what: str = ""


WORDS: Mapping[RuleId, Sentence] = {
    RuleId.PLANTED_TOLD: sentence(
        "Told: sown or planted out on %(on)s. The season counts from then."
    ),
    RuleId.PLANTED_ENTERED: sentence(
        "Entered for this planting: %(on)s. Nobody has told yet that it was done."
    ),
    RuleId.EMERGED_TOLD: sentence("Told: most plants were up on %(on)s."),
    RuleId.EMERGED_NOT_BEFORE: sentence("Not before planting: %(on)s."),
    RuleId.EMERGENCE_ASSUMED: sentence(
        "Assumed, as is usual for %(crop)s, until somebody tells the day: %(days)s days after"
        " sowing on %(planted_on)s, on %(on)s."
    ),
    RuleId.EMERGENCE_ASSUMED_PLANTED_OUT: sentence(
        "Assumed, as is usual for %(crop)s: plants grow on %(days)s days after planting out on"
        " %(planted_on)s, on %(on)s."
    ),
    RuleId.SEASON_USUAL: sentence("%(days)s days, as is usual for %(crop)s."),
    RuleId.SEASON_ENTERED: sentence("Entered for this planting: %(days)s days."),
    RuleId.HARVEST_ENTERED: sentence("Entered for this planting: %(on)s."),
    RuleId.HARVEST_AT_END: sentence(
        "Harvested once, at the season's end: %(planted_on)s + %(days)s days is %(on)s."
    ),
    RuleId.HARVEST_PICKED: sentence(
        "Picked many times, first %(days)s days after %(planted_on)s: %(on)s."
    ),
    RuleId.HARVEST_NOT_AFTER_END: sentence(
        "Not after the season's end, %(days)s days after %(planted_on)s: %(on)s."
    ),
    RuleId.PICKING_MONTH: sentence(
        "No dose in the %(days)s days up to the picking on %(harvest_on)s."
    ),
    RuleId.CUTOFF_BEARS_ON: sentence(
        "The crop bears for years, so doses go on up to %(days)s days after %(planted_on)s: %(on)s."
    ),
    RuleId.CUTOFF_SHARE: sentence(
        "Share of the season: %(share)s of %(days)s days, rounded down, is %(part)s days after"
        " %(planted_on)s: %(on)s."
    ),
    RuleId.CUTOFF_MONTH: sentence(
        "One month: %(days)s days before the first harvest on %(harvest_on)s: %(on)s."
    ),
    RuleId.CUTOFF_SHARE_BINDS: sentence("The share of the season binds: no day is earlier."),
    RuleId.CUTOFF_MONTH_BINDS: sentence("The one-month rule binds: it is the earlier day."),
    RuleId.DOSE_AT_PLANTING: sentence("Dose 1 goes with sowing or planting out: %(on)s."),
    RuleId.AFTER_EMERGENCE: sentence("%(days)s days after plants were up on %(up_on)s: %(on)s."),
    RuleId.AFTER_ASSUMED_EMERGENCE: sentence(
        "%(days)s days after plants are up on %(up_on)s (assumed): %(on)s."
    ),
    RuleId.IN_RAINS: sentence("%(days)s days after the rains begin on %(rain_on)s: %(on)s."),
    RuleId.GIVEN: sentence("It was done on %(on)s."),
    RuleId.KEEPS_DAY: sentence(
        "Its day is now %(on)s. Its days have passed, so it keeps the day it had."
    ),
    RuleId.GAP: sentence(
        "Its day is now %(on)s. At least %(days)s days lie between it and the dose of"
        " %(before_on)s."
    ),
    RuleId.HOLD: sentence(
        "Its day is now %(on)s. No dose from %(first_on)s to %(last_on)s: rain, or a person looks"
        " first."
    ),
    RuleId.AVOIDED: sentence(
        "Its day is now %(on)s. This household does no dose work on the weekday of %(was_on)s."
    ),
    RuleId.AVOIDED_KEPT: sentence(
        "This household does no dose work on that weekday, but no day beside %(on)s is free."
    ),
    RuleId.WINDOW: sentence("Open up to %(on)s, %(days)s days after its own."),
    RuleId.BEFORE_NEXT: sentence("Open up to %(on)s, the day before the next dose."),
    RuleId.UP_TO_CUTOFF: sentence("Open up to %(on)s, the last day for a dose."),
    RuleId.OWN_DAY_ONLY: sentence("Open on %(on)s alone."),
    RuleId.PAST_CUTOFF: sentence("%(due_on)s is after the last day for a dose, %(cutoff_on)s."),
    RuleId.HELD_PAST_CUTOFF: sentence(
        "By %(held_on)s the last day for a dose, %(cutoff_on)s, has passed."
    ),
    RuleId.HELD_TOO_NEAR: sentence(
        "From %(held_on)s to the dose of %(next_on)s it is %(between)s days; at least %(days)s"
        " must lie between."
    ),
    RuleId.NO_CAN_READY: sentence("No can was ready while it was open."),
    RuleId.NO_PLANTING_DOSE: sentence("Seed this small takes no dose at sowing."),
    RuleId.SITE: sentence("Its ground waits for a decision: nothing is given there."),
    RuleId.LITRES_USUAL: sentence(
        "%(litres_per_m2)s L of %(what)s a square metre and season, the usual amount."
    ),
    RuleId.LITRES_ENTERED: sentence(
        "%(litres_per_m2)s L of %(what)s a square metre and season, entered for this planting."
    ),
    RuleId.NITROGEN_TARGET: sentence("%(n_kg_per_ha)s kg of nitrogen a hectare."),
    RuleId.NITROGEN_CONTENT: sentence("%(n_g_per_litre)s g of nitrogen in a litre."),
    RuleId.LITRES_FROM_NITROGEN: sentence(
        "Together that is %(litres_per_m2)s L of %(what)s a square metre and season."
    ),
    RuleId.POOR_SOIL: sentence(
        "Salty or dry soil takes %(share)s of it: %(litres_per_m2)s L a square metre."
    ),
    RuleId.OVER_WARNING: sentence("That is more than %(most)s L a square metre: check the target."),
    RuleId.ON_AREA: sentence("On %(area_m2)s m², as entered, that is %(litres)s L in all."),
    RuleId.DOSE_CAP: sentence(
        "One dose holds at most %(litres)s L: %(times)s times an equal share of %(season_litres)s L"
        " by %(doses)s doses."
    ),
    RuleId.TOLD_STAYS: sentence("%(litres)s L of %(what)s: told, given or past, so it stays."),
    RuleId.EQUAL_SHARE: sentence(
        "%(rest_litres)s L of the season's %(season_litres)s L are left. Doses to share it:"
        " %(doses)s. Each: %(litres)s L."
    ),
    RuleId.CAPPED: sentence("No dose holds more than %(litres)s L."),
    RuleId.ROUNDED_DOWN: sentence("Rounded down: %(litres)s L of %(what)s."),
    RuleId.DROPPED_TAKES_NOTHING: sentence(
        "A dropped dose takes nothing: its litres go to the doses to come."
    ),
    RuleId.NO_DOSE_LEFT: sentence("No dose is left to take any."),
    RuleId.CAP_LEAVES_OVER: sentence(
        "Doses whose litres may still change: %(doses)s, at most %(litres)s L each."
    ),
    RuleId.ROUNDING_LEAVES_OVER: sentence("What is rounded down is not poured."),
    RuleId.TOLD_LEAVES_OVER: sentence("No dose is left whose litres may change."),
    RuleId.LEFT_OVER: sentence(
        "The doses take %(poured_litres)s L of the season's %(season_litres)s L; %(litres)s L find"
        " no dose."
    ),
    RuleId.IN_SPAN: sentence("%(season)s from %(first_on)s to %(last_on)s."),
    RuleId.SEASON_TOLD: sentence("%(season)s, as entered for this planting."),
    RuleId.WATER_RAINS: sentence("No water is added in the rains, unless it is chosen."),
    RuleId.WATER_DRY: sentence("In the dry season at least %(ratio)s parts of water to one."),
    RuleId.WATER_CHOSEN: sentence("%(ratio)s parts of water to one, as chosen for this planting."),
    RuleId.WATER_RAISED: sentence(
        "%(chosen)s parts of water were chosen; in the dry season it is at least %(ratio)s."
    ),
    RuleId.WATER: sentence("Water: %(ratio)s parts to one, %(water_litres)s L."),
    RuleId.LAST_GIVEN: sentence("The last dose given is %(code)s, on %(on)s."),
    RuleId.LAST_PERHAPS: sentence(
        "Nobody has told that %(code)s was not done, so it may be given up to %(on)s."
    ),
    RuleId.LAST_PLANNED: sentence("Doses are left, the last on %(on)s."),
    RuleId.MONTH_AFTER: sentence("%(days)s days later is %(on)s."),
    RuleId.MONTH_AFTER_PLANNED: sentence("If they are given, wait until %(on)s."),
    RuleId.LATER_BY_NOW: sentence("By what is known today it is later and holds: %(on)s."),
    RuleId.TOLD_FIRST: sentence("The grower was told of it, so it goes before doses not told yet."),
    RuleId.DUE_FIRST: sentence("Turn %(place)s of %(doses)s at the cans: due on %(due_on)s."),
    RuleId.YOUNGER_FIRST: sentence(
        "Of doses due on one day the youngest plot goes first: planted on %(younger_on)s before"
        " %(older_on)s."
    ),
    RuleId.FROM_CAN: sentence("Can %(can)s gives %(litres)s L."),
    RuleId.FROM_EXPECTED_CAN: sentence("Can %(can)s, still to be sealed, is to give %(litres)s L."),
    RuleId.ENOUGH: sentence("That is enough."),
    RuleId.SHORT: sentence(
        "By %(on)s the cans give %(litres)s L of the %(wanted_litres)s L wanted: short by"
        " %(short_litres)s L."
    ),
}

SEASONS = {
    Season.RAINS.value: sentence("Rains"),
    Season.DRY.value: sentence("Dry season"),
}


def words(reason: Reason, naming: Naming) -> Sentence:
    """Return a reason as a sentence, its values in a reader's words.

    Raises:
        KeyError: the rule is none that a planting's pages tell.
    """
    values: dict[str, object] = {"crop": naming.crop, "what": naming.what}
    for name, value in reason.values.items():
        values[name] = _named(name, value, naming)
    number = reason.values.get("number")
    if isinstance(number, int):
        values["code"] = naming.code(number)
    return Sentence(text=WORDS[reason.rule].text, values=values)


def words_of(reasons: Iterable[Reason], naming: Naming) -> tuple[Sentence, ...]:
    """Return reasons as sentences, in their order."""
    return tuple(words(reason, naming) for reason in reasons)


def _named(name: str, value: Value, naming: Naming) -> object:
    if isinstance(value, date):
        return naming.day(value)
    if name == "can" and isinstance(value, int):
        return naming.cans.get(value, value)
    if name == "season" and isinstance(value, str):
        return SEASONS[value]
    return value
