"""The words of the enrolment form: what each field asks, and what is wrong with an answer."""

from collections.abc import Mapping, Sequence

from service.agronomy.buffers import AT_HOME, WaterKind
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.enrolment.entries import Said
from service.enrolment.faults import Fault, FaultCode
from service.records.fields import Texture
from service.web.sentence import Sentence, sentence

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
CANS = ("20", "10", "1.5")

READ_OUT = sentence(
    "May we send farm reminders by SMS to this phone, about two a week? They cost you nothing. "
    "Whoever holds the phone can read them. You may stop at any time: answer STOP. Without your "
    "yes we send nothing, and nothing else changes for you."
)


def fault_words(fault: Fault) -> Sentence:  # noqa: C901, PLR0911, PLR0912 -- one line a code
    """Return what to do about a fault."""
    values = fault.values
    match fault.code:
        case FaultCode.NEEDED:
            return sentence("Fill this in.")
        case FaultCode.TOO_LONG:
            return sentence("Shorten this to %(most)s letters or fewer.", **values)
        case FaultCode.ONE_LINE:
            return sentence("Write it on one line, without tabs or special keys.")
        case FaultCode.OUT_OF_RANGE:
            return sentence("Write a number from %(least)s to %(most)s.", **values)
        case FaultCode.WHOLE_NUMBER:
            return sentence("Write a whole number.")
        case FaultCode.TIME_RANGE:
            return sentence("Choose a time from %(least)s to %(most)s.", **values)
        case FaultCode.BOTH_GIVEN:
            return sentence("Tell this in one way only; empty the other field.")
        case FaultCode.NO_SUCH_AREA | FaultCode.LANGUAGE:
            return sentence("Choose one of this list.")
        case FaultCode.CODE_LETTERS:
            return sentence("Use letters, digits and dashes only.")
        case FaultCode.CODE_TAKEN | FaultCode.LABEL_TAKEN | FaultCode.NUMBER_TAKEN:
            return sentence("%(alias)s has this already; choose another.", **values)
        case FaultCode.LABEL_LETTERS | FaultCode.WORD_LETTERS:
            return sentence("Some letters are not on every phone; write it without them.")
        case FaultCode.LABEL_LONG:
            return sentence("Shorten this to %(most)s letters or fewer.", **values)
        case FaultCode.WORD_LONG:
            return sentence("Choose a shorter word: at most 12 letters.")
        case FaultCode.WORD_SWALLOWED:
            return sentence("This word names something to eat or drink; choose another.")
        case FaultCode.WORD_REVEALING:
            return sentence("This word gives away what it is; choose one that does not.")
        case FaultCode.WORD_KEYWORD:
            return sentence("Growers answer with this word; choose another.")
        case FaultCode.PHONE_UNREADABLE:
            return sentence("Type the number with digits only, with or without +255 in front.")
        case FaultCode.PHONE_SHORT_CODE:
            return sentence("This is a short code, not a person's number. Type the whole number.")
        case FaultCode.PHONE_TOO_SHORT:
            return sentence("The number has too few digits. Count them again.")
        case FaultCode.PHONE_TOO_LONG:
            return sentence("The number has too many digits. Count them again.")
        case FaultCode.PHONE_WRONG_LENGTH:
            return sentence("The number has a digit too many or too few. Count them again.")
        case FaultCode.PHONE_OTHER_COUNTRY:
            return sentence("This number is of another country. Type one of this country.")
        case FaultCode.PHONE_NOT_ASSIGNED:
            return sentence("No operator has numbers like this. Check every digit.")
        case FaultCode.PHONE_NOT_MOBILE:
            return sentence("This number cannot get texts. Type a mobile number.")
        case FaultCode.ALREADY_USED:
            return sentence(
                "This number is already used by %(who)s. If they share one phone, tick the box "
                "below; if not, type another number.",
                who=_named(values["households"]),
            )
        case FaultCode.NEEDS_PHONE:
            return sentence("Type the phone number that they said yes for.")
        case FaultCode.OTHER_WORDS:
            return sentence("A yes of that day is recorded already. Give the day of the new one.")
        case FaultCode.NOT_YET:
            return sentence("This day has not come yet. Give a day up to %(latest)s.", **values)
        case FaultCode.TOO_EARLY:
            return sentence("This is too long ago. Give a day from %(earliest)s.", **values)
        case FaultCode.NEEDS_PLOT:
            return sentence("Say how large the plot is.")
        case FaultCode.AREA:
            return sentence(
                "This makes %(area_m2)s m². Check it: a plot has %(least)s to %(most)s m².",
                **values,
            )
        case FaultCode.STILL_PLANTED:
            return sentence(
                "Another crop still stands on this plot. Note its harvest first, or add a plot."
            )
        case FaultCode.UNKNOWN_CROP:
            return sentence("Choose a crop of this list.")
        case FaultCode.LEGUME:
            return sentence(
                "Beans, cowpeas and groundnuts make their own nitrogen: they need none. Keep the "
                "cans for another crop."
            )
        case FaultCode.PERENNIAL:
            return sentence(
                "This crop bears for years, and the calendar is for one season. Follow the local "
                "extension officer's advice."
            )
        case FaultCode.WATERLOGGED:
            return sentence(
                "In standing water urine is lost. Plan rice only on drained or upland ground, and "
                "tick that you have seen it."
            )
        case FaultCode.WATER:
            return sentence(
                "Give from %(least)s to %(most)s parts of water to one of urine.", **values
            )
        case FaultCode.OVER_CEILING:
            return sentence("This ground bears at most %(most)s litres a square metre.", **values)
        case FaultCode.YEARS_AWAY:
            return sentence("This is years from today. Check the year.")
        case FaultCode.UP_BEFORE_PLANTED:
            return sentence("Plants are not up before they are sown. Check both days.")
        case FaultCode.UP_AFTER_PICKED:
            return sentence("Plants are not up after the first picking. Check the days.")
        case FaultCode.PICKED_BEFORE_PLANTED:
            return sentence("The first picking must come after planting. Check the days.")
        case FaultCode.PICKED_AFTER_SEASON:
            return sentence(
                "The first picking would come after the season's end on %(season_ends_on)s. Give "
                "the season's days too.",
                **values,
            )
        case FaultCode.NO_NUMBER_LEFT:
            return sentence("All can numbers are in use on this phone.")
        case FaultCode.SEALED_BEFORE_OPENED:
            return sentence("A can is sealed after its filling began. Check both days.")
        case FaultCode.EMPTIED_BEFORE_SEALED:
            return sentence("A can is emptied after it was sealed. Check both days.")


def _named(households: object) -> str:
    pairs = households if isinstance(households, Sequence) else ()
    return ", ".join(f"{alias} ({code})" for code, alias in pairs)
