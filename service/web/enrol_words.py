"""The words of the enrolment form: what each field asks, and what may be chosen."""

from collections.abc import Mapping, Sequence

from service.agronomy.buffers import AT_HOME, WaterKind
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.enrolment.entries import Said
from service.records.fields import Texture
from service.web.sentence import Sentence, sentence
from service.web.site_form import SITE_LABELS

Choices = Sequence[tuple[str, Sentence]]

LABELS: Mapping[str, Sentence] = {
    "alias": sentence("Name, or a name they chose"),
    "area_id": sentence("Area"),
    "language": sentence("Language of their texts"),
    "adults": sentence("Adults"),
    "children": sentence("Children"),
    "eats": sentence("Who will eat the crop?"),
    "word": sentence("Their own word for the liquid"),
    "discreet": sentence("Neutral words only: no crop, no liquid in texts"),
    "remind_minute": sentence("Hour of the reminder"),
    "needs_call": sentence("Nobody reads here: call instead of texting"),
    "avoid_weekday": sentence("Market or prayer day, without dose work"),
    "collected_share": sentence("How much of their urine do they collect?"),
    "bottle_ml": sentence("Bottle they measure with"),
    "label": sentence("Short name for a shared phone"),
    "number": sentence("Phone number"),
    "share": sentence("Yes, these households share this phone"),
    "said": sentence("Did they say yes to texts?"),
    "asked_on": sentence("Asked on"),
    "asked_by": sentence("Asked by"),
    "phone_id": sentence("Which phone?"),
    "area_m2": sentence("Area, if known"),
    "steps_along": sentence("Or steps along"),
    "steps_across": sentence("Steps across"),
    "step_m": sentence("Length of a step"),
    "row_count": sentence("Or number of rows"),
    "row_length_m": sentence("Length of a row"),
    "row_apart_cm": sentence("From row to row"),
    "soil": sentence("Salty or dry ground?"),
    "texture": sentence("How does the soil feel?"),
    "water_kind": sentence("Water nearby"),
    "water_m": sentence("Distance to that water"),
    "plot_id": sentence("Plot"),
    "crop": sentence("Crop"),
    "planted_on": sentence("Sown or planted on, or planned for"),
    "season": sentence("Season"),
    "transplanted": sentence("Planted out as seedlings"),
    "drained": sentence("Rice: I have seen that no water stands here"),
    "first_harvest_days": sentence("First picking, days after planting"),
    "season_days": sentence("Days from planting to harvest here"),
    "emerged_on": sentence("Most plants were up on"),
    "water_ratio": sentence("Parts of water to one of urine"),
    "litres_per_m2": sentence("Urine for the whole season"),
    "row_cm": sentence("Between rows"),
    "plant_cm": sentence("Between plants"),
    "litres": sentence("Size of the can"),
    "litres_other": sentence("Another size"),
    "opened_on": sentence("Filling began on"),
    "sealed_on": sentence("Sealed on"),
    "longer_rest": sentence("Longer rest (6 months); no reason is written down"),
    **SITE_LABELS,
}
FIELD_OF = {
    "ground": "area_m2",
    "emptied_on": "sealed_on",
    "first_harvest_on": "first_harvest_days",
}

EATERS: Choices = (
    (Regime.OWN_HOUSEHOLD.value, sentence("Only this household")),
    (Regime.GENERAL.value, sentence("This household, with the longer rest of a month")),
    (Regime.SOLD_PROCESSED.value, sentence("Sold, but milled, pressed or cooked before")),
    (Regime.SOLD_ANY.value, sentence("Sold or given away raw, or not known")),
)
SAID: Choices = (
    (Said.YES.value, sentence("Yes")),
    (Said.NO.value, sentence("No: send nothing")),
)
SOILS: Choices = (
    (Soil.NORMAL.value, sentence("No")),
    (Soil.SALTY.value, sentence("Salty")),
    (Soil.DRY.value, sentence("Dry all season")),
)
TEXTURES: Choices = (
    (Texture.SANDY.value, sentence("Sandy")),
    (Texture.LOAM.value, sentence("Loam, between sand and clay")),
    (Texture.CLAY.value, sentence("Clay")),
)
WATERS: Choices = tuple(
    (
        kind.value,
        {
            WaterKind.STREAM: sentence("Stream or river"),
            WaterKind.LAKE: sentence("Lake or pond"),
            WaterKind.WELL: sentence("Well or spring"),
        }[kind],
    )
    for kind in AT_HOME
)
SEASONS: Choices = (
    (Season.RAINS.value, sentence("Rains: no water is added")),
    (Season.DRY.value, sentence("Dry: two parts of water to one")),
)
WEEKDAYS: Mapping[str, Sentence] = {  # as the records count them, Monday first
    "0": sentence("Monday"),
    "1": sentence("Tuesday"),
    "2": sentence("Wednesday"),
    "3": sentence("Thursday"),
    "4": sentence("Friday"),
    "5": sentence("Saturday"),
    "6": sentence("Sunday"),
}
CANS = ("20", "10", "1.5")

READ_OUT = sentence(
    "May we send farm reminders by SMS to this phone, about two a week? They cost you nothing. "
    "Whoever holds the phone can read them. You may stop at any time: answer STOP. Without your "
    "yes we send nothing, and nothing else changes for you."
)
