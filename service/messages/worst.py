"""The longest values that each field can take, and each kind's texts filled with them.

The figures are common practice for this service, no source: they are what its forms allow. Days,
crops, tips and paces are the longest that the language itself has.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache

from babel import Locale
from babel.dates import format_date

from service.messages.filling import Values, Wording, can_say, fill, text_id
from service.messages.kinds import DAYS, TEXT_FIELDS, Kind
from service.messages.language import Language
from service.messages.letters import LETTERS
from service.messages.printing import DAY_PATTERN, advice, cost, per
from service.messages.words import WORD_SEPTETS

LABEL_SEPTETS, GROUP_SEPTETS, COST_SEPTETS = 8, 18, 24
MAX_JOBS, JOBS_IN_ONE_SEGMENT, HOMES_IN_ONE_SEGMENT = len(LETTERS), 3, 2
LONGEST_URINE_L, LONGEST_WATER_L = 37.5, 112.5
LONGEST_SEASON_L, LONGEST_RATIO = 1012.25, 2.25

FIXED: dict[str, object] = {
    "group": "M" * GROUP_SEPTETS,
    "phone": "+255100000001",
    "code": "W9",
    "plot": "W",
    "n": 99,
    "can": [98, 99],
    "k": 9,
    "done": 9,
    "of": 9,
    "wait": 183,
    "urine": LONGEST_URINE_L,
    "water": LONGEST_WATER_L,
    "given": LONGEST_WATER_L,
    "max": LONGEST_WATER_L,
    "short": LONGEST_SEASON_L,
    "litres": LONGEST_SEASON_L,
    "ratio": LONGEST_RATIO,
    "order": list(LETTERS),
    "jobs": [],  # dealt out by `_with_jobs`
    "codes": [f"{letter}9" for letter in LETTERS],
}

COSTS = ("free", "sms", "M" * COST_SEPTETS)

PACES: tuple[object, ...] = (
    None,
    *(
        {measure: n, target: m}
        for measure in ("cups", "caps")
        for target in ("plants", "paces")
        for n in (1, 4)
        for m in (1, 10)
    ),
)

ADVICE: tuple[object, ...] = ({"young": list(LETTERS)}, "halve", "last", "collect")

WORDINGS = (
    Wording(),
    Wording(discreet=True),
    Wording(what="m" * WORD_SEPTETS),
    Wording(shared=True),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstCase:
    """A text at its longest, and the segments that it may take."""

    name: str
    text: str
    room: int


def worst_values(language: Language, kind: Kind) -> Values:
    """Return values for every field of the kind, as long as they get in this language."""
    return _worst(language, kind.fields | kind.optional)


def _worst(language: Language, fields: frozenset[str]) -> Values:
    return {
        field: FROM_THE_LANGUAGE[field](language) if field in FROM_THE_LANGUAGE else FIXED[field]
        for field in sorted(fields - {"what"})
    }


def worst_jobs(count: int, *, homes: int, wet: bool = True) -> list[dict[str, object]]:
    """Return the longest jobs, dealt out to so many homes; with none they have no label."""
    return [
        {
            "label": LETTERS[place % homes] * LABEL_SEPTETS if homes else None,
            "code": f"{letter}9",
            "urine": LONGEST_URINE_L,
            "water": LONGEST_WATER_L if wet else None,
        }
        for place, letter in enumerate(LETTERS[:count])
    ]


def worst_cases(language: Language, kind: Kind, *, crops: frozenset[str]) -> Iterator[WorstCase]:
    """Yield each text that the language has of this kind, at its longest.

    `crops` are the names of all crops' texts; without them a text with a crop is passed over.
    Null values, every wording and the shared form are walked; a digest with few jobs has one
    segment, with many its full room.
    """
    for missing in (None, *sorted(kind.optional)):
        for wording in WORDINGS:
            given = {field: 1 for field in kind.optional if field != missing}
            name = text_id(kind, given, wording=wording)
            if not can_say(language, name, crops=crops):
                continue
            fields = TEXT_FIELDS[name] | frozenset(given)  # a part of a language prints no others
            values = {**_worst(language, fields), **({missing: None} if missing else {})}
            for filled, room in _with_jobs(kind, values, shared=wording.shared):
                text = fill(language, kind, filled, wording=wording)
                yield WorstCase(name=name, text=text, room=room)


def _with_jobs(kind: Kind, values: Values, *, shared: bool) -> Iterator[tuple[Values, int]]:
    if "jobs" not in kind.fields:
        yield values, kind.max_segments
        return
    wet = not kind.name.endswith("_rain")
    for count, homes, room in (
        (JOBS_IN_ONE_SEGMENT, HOMES_IN_ONE_SEGMENT, 1),
        (MAX_JOBS, MAX_JOBS, kind.max_segments),
    ):
        yield {**values, "jobs": worst_jobs(count, homes=homes if shared else 0, wet=wet)}, room


def _longest_crop(language: Language) -> str:
    return _crops(language)[-1]


def _longest_plots(language: Language) -> list[dict[str, object]]:
    pairs = zip(LETTERS, _crops(language)[-2:], strict=False)
    return [{"plot": letter, "crop": crop} for letter, crop in pairs]


def _longest_tip(language: Language) -> int:
    return max(range(1, 10), key=lambda tip: len(language.texts[f"tip.{tip}"]))


def _longest_pace(language: Language) -> object:
    return max(PACES, key=lambda pace: len(per(language, pace)))


def _longest_advice(language: Language) -> object:
    return max(ADVICE, key=lambda what: len(advice(language, what)))


def _longest_cost(language: Language) -> str:
    return max(COSTS, key=lambda text: len(cost(language, text)))


def _crops(language: Language) -> list[str]:
    names = language.named("crop.")
    by_length = sorted(names, key=lambda name: (len(names[name]), name))
    return [name.removeprefix("crop.") for name in by_length]


def _longest_day(language: Language) -> str:
    return _longest_day_of(language.locale)


@cache
def _longest_day_of(locale: Locale) -> str:
    # Any nineteen days in a row of each month show every weekday with every two-digit day.
    days = [date(2028, month, on) for month in range(1, 13) for on in range(10, 29)]
    return max(days, key=lambda on: len(format_date(on, DAY_PATTERN, locale=locale))).isoformat()


FROM_THE_LANGUAGE: dict[str, Callable[[Language], object]] = {
    **dict.fromkeys(DAYS, _longest_day),
    "crop": _longest_crop,
    "plots": _longest_plots,
    "tip": _longest_tip,
    "per": _longest_pace,
    "advice": _longest_advice,
    "cost": _longest_cost,
}
