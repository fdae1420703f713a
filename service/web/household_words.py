"""What the household's page says in words: who eats, where a can or a text stands."""

from collections.abc import Collection

from babel import Locale

from service.agronomy.buffers import WaterKind, buffer_warnings
from service.agronomy.containers import CanState
from service.agronomy.regimes import Regime, rest_days
from service.agronomy.season import Soil
from service.messages.lifecycle import State
from service.planning.stock import Can
from service.records.fields import PlantingRow, PlotRow, Texture
from service.records.people import HouseholdRow
from service.records.traffic import CallTaskRow, TaskKind
from service.web.can_words import EATERS
from service.web.sentence import Sentence, sentence

KIND_WORDS: dict[str, Sentence] = {
    "consent": sentence("Invitation"),
    "welcome": sentence("Welcome"),
    "collect": sentence("Start filling a can"),
    "seal_by": sentence("Seal a can by a day"),
    "too_late": sentence("No can is ready for the first dose"),
    "sealed": sentence("Answer: can sealed"),
    "ready": sentence("A can is ready"),
    "short": sentence("The cans hold too little"),
    "season_opens": sentence("The season opens"),
    "plant_q": sentence("Question: is it sown?"),
    "emerge_q": sentence("Question: are the plants up?"),
    "dose": sentence("Reminder"),
    "dose_rain": sentence("Reminder"),
    "dose_assumed": sentence("Reminder"),
    "dose_rain_assumed": sentence("Reminder"),
    "repeat": sentence("Second reminder"),
    "repeat_rain": sentence("Second reminder"),
    "digest": sentence("Reminder of several jobs"),
    "digest_rain": sentence("Reminder of several jobs"),
    "no_can": sentence("No can is ready for a dose"),
    "to_neat": sentence("The rains: add no water"),
    "to_water": sentence("The dry season: add water"),
    "r_done": sentence("Answer: noted as done"),
    "r_notdone": sentence("Answer: noted as not done"),
    "r_late": sentence("Answer: noted, the next day has moved"),
    "r_again": sentence("Answer: it was noted before"),
    "r_sown": sentence("Answer: sowing noted"),
    "r_up": sentence("Answer: plants up noted"),
    "r_rain": sentence("Answer: rain noted"),
    "r_harvest": sentence("Answer: harvest noted"),
    "r_why": sentence("Answer to WHY"),
    "r_why_planting": sentence("Answer to WHY"),
    "r_why_up": sentence("Answer to WHY"),
    "r_why_assumed": sentence("Answer to WHY"),
    "r_why_rain": sentence("Answer to WHY"),
    "r_why_burn": sentence("Answer to WHY"),
    "r_why_gap": sentence("Answer to WHY"),
    "r_why_stock": sentence("Answer to WHY"),
    "r_burn": sentence("Answer: burnt leaves noted"),
    "burn_on": sentence("After burnt leaves: how to go on"),
    "r_unready": sentence("Warning: the can was not ready"),
    "refuse": sentence("Warning: more than the rule allows"),
    "last": sentence("Answer: the last dose is noted"),
    "harvest_ok": sentence("The harvest is safe now"),
    "harvest_early": sentence("Warning: harvested too early"),
    "season_result": sentence("The season's own figures"),
    "rain_hold": sentence("Wait for the rain to pass"),
    "withdrawn": sentence("A job taken back"),
    "moved": sentence("A day has moved"),
    "moved_rain": sentence("A day has moved"),
    "stop_ok": sentence("Answer: texts have stopped"),
    "help": sentence("Help"),
    "unread": sentence("Answer: a person will read it"),
    "join_ok": sentence("Answer to JOIN"),
    "danger": sentence("Warning: danger"),
}
"""Every kind of text, in a few words."""


TASK_WORDS = {
    TaskKind.SILENT: sentence("Call: no answer to a reminder"),
    TaskKind.NOT_READY: sentence("Call: no can is ready for a dose"),
    TaskKind.NOT_TOLD: sentence("Call: a dose was not told"),
    TaskKind.UNKNOWN: sentence("Call: it is not known whether a text left"),
    TaskKind.EMERGENCE: sentence("Call: are the plants up?"),
    TaskKind.BY_CALL: sentence("Call: tell of a dose"),
    TaskKind.NO_ROOM: sentence("Call: a dose found no room in a text"),
    TaskKind.UNREAD: sentence("Call: a text about a dose waits to be read"),
    TaskKind.AFTER_CUTOFF: sentence("Look: a dose after the last day for it"),
    TaskKind.EARLY_HARVEST: sentence("Call: harvested too early"),
    TaskKind.SECOND_REPORT: sentence("Look: a dose was told twice"),
    TaskKind.CORRECTED: sentence("Call: a text was corrected"),
    TaskKind.BURNT: sentence("Call: leaves are burnt"),
    TaskKind.LOOP: sentence("Look: this phone sent too many texts"),
    TaskKind.STOPPED: sentence("Look: the phone has stopped its texts"),
    TaskKind.ENROL: sentence("Look: somebody wants to join"),
    TaskKind.SHORT: sentence("Call: the cans will not last"),
    TaskKind.SITE: sentence("Look: decide whether the ground may be used"),
    TaskKind.HELD: sentence("Call: a text sent does not hold any more"),
}
"""What is to be done about a household, in a few words."""


def eaters_words(household: HouseholdRow) -> Sentence:
    """Return who eats the crop, with the rest that follows from it."""
    days = rest_days(household.regime)
    if household.regime is Regime.SOLD_ANY and household.adults + household.children == 0:
        return sentence("Not said yet, so cans rest %(days)s days", days=days)
    return sentence(
        "%(eaters)s; cans rest %(days)s days", eaters=EATERS[household.regime], days=days
    )


def soil_words(soil: Soil) -> Sentence:
    """Return what a plot's soil is like."""
    match soil:
        case Soil.NORMAL:
            return sentence("usual soil")
        case Soil.SALTY:
            return sentence("salty soil")
        case Soil.DRY:
            return sentence("dry soil")


def texture_words(texture: Texture) -> Sentence:
    """Return what the ground feels like in the hand."""
    match texture:
        case Texture.SANDY:
            return sentence("sandy")
        case Texture.LOAM:
            return sentence("loam")
        case Texture.CLAY:
            return sentence("clay")


def end_words(planting: PlantingRow, failed: Collection[int]) -> Sentence:
    """Return how a closed planting ended; `failed` are the ids of those whose crop failed."""
    if planting.id in failed:
        return sentence("failed or never came up, told for %(day)s", day=planting.closed_on)
    return sentence("harvested on %(day)s", day=planting.closed_on)


def can_words(can: Can) -> Sentence:
    """Return where a can stands, with its day."""
    match can.state:
        case CanState.EMPTY:
            return sentence("empty")
        case CanState.FILLING:
            return sentence("being filled")
        case CanState.READY if can.ready_on is not None:
            return sentence("ready since %(day)s", day=can.ready_on)
        case CanState.RESTING if can.ready_on is not None:
            return sentence("resting, ready on %(day)s", day=can.ready_on)
        case CanState.IN_USE:
            return sentence("in use, about %(litres)s L left", litres=can.litres)
        case CanState.READY | CanState.RESTING:
            return sentence("resting; no ready day while the store's warmth is not known")


def sent_words(state: State) -> Sentence:  # noqa: PLR0911 -- one line a state
    """Return what became of a text to a phone."""
    match state:
        case State.QUEUED:
            return sentence("queued")
        case State.CLAIMED:
            return sentence("being sent")
        case State.SUBMITTED:
            return sentence("sent")
        case State.DELIVERED:
            return sentence("delivered")
        case State.FAILED:
            return sentence("failed: it did not arrive")
        case State.EXPIRED:
            return sentence("expired: it could not go in time")
        case State.UNKNOWN:
            return sentence("not known whether it left")
        case State.CANCELLED:
            return sentence("cancelled before it left")


def sent_mark(state: State) -> str:
    """Return the sign beside those words."""
    match state:
        case State.SUBMITTED | State.DELIVERED:
            return "✓"
        case State.FAILED | State.EXPIRED:
            return "✕"
        case State.UNKNOWN:
            return "?"
        case State.QUEUED | State.CLAIMED:
            return "…"
        case State.CANCELLED:
            return "-"


def minute_words(minute: int) -> str:
    """Return a time of day, given in minutes after midnight, like 18:00."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def language_words(code: str, locale: Locale) -> str:
    """Return the name of a language, in the language of the page."""
    return str(locale.languages.get(code, code))


def water_words(kind: WaterKind | None) -> Sentence:
    """Return what water is near a plot."""
    match kind:
        case WaterKind.STREAM:
            return sentence("stream")
        case WaterKind.LAKE:
            return sentence("lake")
        case WaterKind.WELL:
            return sentence("well or spring")
        case WaterKind.SUPPLY | WaterKind.LARGE_SUPPLY:
            return sentence("water supply")
        case None:
            return sentence("water")


def water_warnings(plot: PlotRow) -> tuple[Sentence, ...]:
    """Return what to keep clear of on a plot near water."""
    return tuple(
        sentence(
            "pour nothing within %(metres)s m of it (source: %(source)s; a stricter local rule "
            "goes first)",
            metres=warning.buffer.metres,
            source=warning.buffer.origin.source,
        )
        for warning in buffer_warnings(plot.water_kind, plot.water_m)
    )


def task_words(task: CallTaskRow) -> Sentence:
    """Return what is to be done."""
    return TASK_WORDS[task.kind]
