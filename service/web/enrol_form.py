"""From the fields of the enrolment form to what was told. A part left blank is not told yet."""

from datetime import date

from service.agronomy.buffers import WaterKind
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.rules import rules
from service.agronomy.season import Soil
from service.enrolment.entries import (
    CanEntry,
    ConsentEntry,
    Enrolment,
    HouseholdEntry,
    PhoneEntry,
    PlantingEntry,
    PlotEntry,
    Said,
    Share,
)
from service.enrolment.faults import Faults
from service.enrolment.ground import STEP_M, Ground, Rows, SquareMetres, Steps
from service.records.fields import Texture
from service.records.limits import LIMITS
from service.web.enrol_words import FIELD_OF, LABELS, WEEKDAYS
from service.web.fault_words import fault_words
from service.web.form import YES, Form
from service.web.sentence import sentence
from service.web.site_form import site_told

STEPS = ("steps_along", "steps_across")
ROWS = ("row_count", "row_length_m", "row_apart_cm")
OTHER = "other"


def enrolment_of(form: Form, *, wording: str) -> Enrolment | None:
    """Return all that was told, or None where a field cannot be read."""
    household = household_of(form)
    entry = Enrolment(
        household=household or HouseholdEntry(alias="?", area_id=0),
        phone=phone_of(form),
        consent=consent_of(form, wording=wording) if form.value("said") else None,
        plot=plot_of(form) if _told(form, "area_m2", *STEPS, *ROWS) else None,
        planting=planting_of(form) if _told(form, "crop", "planted_on") else None,
        can=can_of(form) if _told(form, "litres", "opened_on", "sealed_on") else None,
    )
    return entry if form.sound else None


def household_of(form: Form) -> HouseholdEntry | None:
    """Return the household's own part, or None where it cannot be read."""
    alias = form.text("alias", most=LIMITS.characters["alias"])
    area = form.value("area_id")
    if not (area.isascii() and area.isdigit() and len(area) < 10):  # noqa: PLR2004 -- an id
        form.refuse("area_id", sentence("Choose one of this list."))
    adults, children = _whole(form, "adults"), _whole(form, "children")
    eats = form.choice_or_blank("eats", Regime)
    bottle_ml, share = _whole(form, "bottle_ml"), _number(form, "collected_share")
    if form.value("avoid_weekday") not in ("", *WEEKDAYS):
        form.refuse("avoid_weekday", sentence("Choose one of this list."))
    if alias is None or not form.sound:
        return None
    return HouseholdEntry(
        alias=alias,
        area_id=int(area),
        label=form.value("label"),
        adults=adults,
        children=children,
        eats=eats,
        language=form.value("language") or None,
        word=form.value("word"),
        discreet=form.yes("discreet"),
        remind_minute=_minute(form.value("remind_minute")),
        needs_call=form.yes("needs_call"),
        bottle_ml=bottle_ml,
        collected_share=share,
        avoid_weekday=int(form.value("avoid_weekday")) if form.value("avoid_weekday") else None,
    )


def phone_of(form: Form) -> PhoneEntry | None:
    """Return the phone, or None where no number was typed."""
    number = form.value("number")
    if not number:
        return None
    return PhoneEntry(number=number, share=Share.SHARE if form.yes("share") else Share.ASK)


def consent_of(form: Form, *, wording: str) -> ConsentEntry | None:
    """Return what they said about texts, or None where a field cannot be read."""
    said, asked_on = form.choice("said", Said), form.day("asked_on")
    asked_by = form.text("asked_by", most=LIMITS.characters["asked_by"])
    if said is None or asked_on is None or asked_by is None:
        return None
    return ConsentEntry(said=said, asked_on=asked_on, asked_by=asked_by, wording=wording)


def plot_of(form: Form) -> PlotEntry | None:
    """Return the plot, or None where a field cannot be read."""
    ground = ground_of(form)
    soil = form.choice_or_blank("soil", Soil) or Soil.NORMAL
    texture = form.choice_or_blank("texture", Texture)
    water_kind = form.choice_or_blank("water_kind", WaterKind)
    water_m = _number(form, "water_m")
    hazards = site_told(form)
    if ground is None or not form.sound:
        return None
    return PlotEntry(
        ground=ground,
        soil=soil,
        texture=texture,
        water_kind=water_kind,
        water_m=water_m,
        hazards=hazards,
    )


def planting_of(form: Form) -> PlantingEntry | None:
    """Return the planting or plan, or None where a field cannot be read."""
    planted_on = form.day("planted_on")
    season = form.choice("season", Season)
    if not form.value("crop"):
        form.refuse("crop", sentence("Choose a crop of this list."))
    season_days, picked = _whole(form, "season_days"), _whole(form, "first_harvest_days")
    emerged_on = form.day_or_blank("emerged_on")
    amount, row_cm, plant_cm = (
        _number(form, name) for name in ("litres_per_m2", "row_cm", "plant_cm")
    )
    water_ratio = form.number_or_blank("water_ratio", least=0, most=rules().most_water_ratio)
    if planted_on is None or season is None or not form.sound:
        return None
    return PlantingEntry(
        crop=form.value("crop"),
        planted_on=planted_on,
        season=season,
        water_ratio=water_ratio,
        litres_per_m2=amount,
        season_days=season_days,
        first_harvest_days=picked,
        transplanted=True if form.yes("transplanted") else None,
        drained=form.yes("drained"),
        row_cm=row_cm,
        plant_cm=plant_cm,
        emerged_on=emerged_on,
    )


def can_of(form: Form) -> CanEntry | None:
    """Return the can, or None where a field cannot be read."""
    if form.value("litres") in ("", OTHER):
        litres = form.number("litres_other", least=0.5, most=200)
    else:
        litres = form.number("litres", least=0.5, most=200)
    opened_on, sealed_on = form.day_or_blank("opened_on"), form.day_or_blank("sealed_on")
    if litres is None or not form.sound:
        return None
    return CanEntry(
        litres=litres,
        longer_rest=form.yes("longer_rest"),
        opened_on=opened_on,
        sealed_on=sealed_on,
    )


def note_faults(form: Form, faults: Faults) -> None:
    """Note each fault beside the field of the form that it belongs to."""
    for fault in faults.faults:
        name = FIELD_OF.get(fault.field, fault.field)
        if name == "litres" and form.value("litres") == OTHER:
            name = "litres_other"
        form.refuse(name if name in LABELS else "alias", fault_words(fault))


def ground_of(form: Form) -> Ground | None:
    """Return how large a plot is, told in one of three ways, or None where it cannot be read."""
    if _told(form, *STEPS):
        along, across = (_number_needed(form, name) for name in STEPS)
        step_m = _number(form, "step_m") or STEP_M
        if along is None or across is None:
            return None
        return Steps(steps_along=along, steps_across=across, step_m=step_m)
    if _told(form, *ROWS):
        count, length, apart = (_number_needed(form, name) for name in ROWS)
        if count is None or length is None or apart is None:
            return None
        return Rows(row_count=count, row_length_m=length, row_apart_cm=apart)
    area = form.number("area_m2", least=rules().least_area_m2, most=rules().most_area_m2)
    return None if area is None else SquareMetres(area_m2=area)


def _told(form: Form, *names: str) -> bool:
    return any(form.value(name) for name in names)


def _number(form: Form, name: str) -> float | None:
    limits = LIMITS.numbers[name]
    return form.number_or_blank(name, least=limits.at_least, most=limits.at_most)


def _number_needed(form: Form, name: str) -> float | None:
    limits = LIMITS.numbers[name]
    return form.number(name, least=limits.at_least, most=limits.at_most)


def _whole(form: Form, name: str) -> int | None:
    limits = LIMITS.numbers[name]
    return form.whole_or_blank(name, least=int(limits.at_least), most=int(limits.at_most))


def _minute(typed: str) -> int | None:
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 5 else None  # noqa: PLR2004 -- minutes of a day


def ticked(state: object) -> str:
    """Return the value of a box that stands for something true."""
    return YES if state else ""


def day_typed(on: date | None) -> str:
    """Return a day as it stands in a field."""
    return "" if on is None else f"{on.day}/{on.month}/{on.year}"
