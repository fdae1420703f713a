"""What cannot be saved, and why, as codes; the pages find the sentences."""

import dataclasses
from collections.abc import Mapping
from enum import StrEnum


class FaultCode(StrEnum):
    """Why an entry is refused. In brackets: the keys of `Fault.values`, if there are any."""

    NEEDED = "needed"
    TOO_LONG = "too-long"  # [most]: characters
    ONE_LINE = "one-line"
    OUT_OF_RANGE = "out-of-range"  # [least, most]: numbers in the field's unit
    WHOLE_NUMBER = "whole-number"
    TIME_RANGE = "time-range"  # [least, most]: such as 17:00
    BOTH_GIVEN = "both-given"  # [other]: the field that says the same in another way

    NO_SUCH_AREA = "no-such-area"
    LANGUAGE = "language"  # it has no texts
    CODE_LETTERS = "code-letters"
    CODE_TAKEN = "code-taken"  # [alias]

    LABEL_LETTERS = "label-letters"
    LABEL_LONG = "label-long"  # [most]: septets
    LABEL_TAKEN = "label-taken"  # [alias]

    WORD_LETTERS = "word-letters"
    WORD_LONG = "word-long"
    WORD_SWALLOWED = "word-swallowed"
    WORD_REVEALING = "word-revealing"
    WORD_KEYWORD = "word-keyword"

    PHONE_UNREADABLE = "phone-unreadable"
    PHONE_SHORT_CODE = "phone-short-code"
    PHONE_TOO_SHORT = "phone-too-short"
    PHONE_TOO_LONG = "phone-too-long"
    PHONE_WRONG_LENGTH = "phone-wrong-length"
    PHONE_OTHER_COUNTRY = "phone-other-country"
    PHONE_NOT_ASSIGNED = "phone-not-assigned"
    PHONE_NOT_MOBILE = "phone-not-mobile"
    ALREADY_USED = "already-used"  # [households]: pairs of code and alias

    NEEDS_PHONE = "needs-phone"
    OTHER_WORDS = "other-words"  # the yes of that day has other words or another asker
    NOT_YET = "not-yet"  # [latest]: a date; the day has not come
    TOO_EARLY = "too-early"  # [earliest]: a date

    NEEDS_PLOT = "needs-plot"
    AREA = "area"  # [least, most, area_m2]
    STILL_PLANTED = "still-planted"  # [crop]

    UNKNOWN_CROP = "unknown-crop"
    LEGUME = "legume"
    PERENNIAL = "perennial"
    WATERLOGGED = "waterlogged"
    WATER = "water"  # [least, most]: parts of water to one of urine
    OVER_CEILING = "over-ceiling"  # [most]: litres a square metre in the season
    YEARS_AWAY = "years-away"  # [most_days]
    UP_BEFORE_PLANTED = "up-before-planted"  # [planted_on]
    UP_AFTER_PICKED = "up-after-picked"  # [first_harvest_on]
    PICKED_BEFORE_PLANTED = "picked-before-planted"  # [planted_on]
    PICKED_AFTER_SEASON = "picked-after-season"  # [season_ends_on]

    NUMBER_TAKEN = "number-taken"  # [alias]
    NO_NUMBER_LEFT = "no-number-left"
    SEALED_BEFORE_OPENED = "sealed-before-opened"  # [opened_on]
    EMPTIED_BEFORE_SEALED = "emptied-before-sealed"  # [sealed_on]

    LAST_BEFORE_FIRST = "last-before-first"  # [first_on]
    HOLD_TOO_LONG = "hold-too-long"  # [most_days]
    NO_SUCH_KIND = "no-such-kind"
    NO_SOURCE = "no-source"  # [least]: characters
    PATTERN = "pattern"  # [most, gap_days, most_day]
    HARVESTED_ONCE = "harvested-once"
    OVER_CEILING_HERE = "over-ceiling-here"  # [litres, most]: litres a square metre in the season


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing to mend; `field` is the name of an attribute of the entry, or of its ground.

    `values` hold what a sentence needs, under the keys that the code names.
    """

    field: str
    code: FaultCode
    values: Mapping[str, object] = dataclasses.field(default_factory=dict)


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Faults:
    """Everything that is wrong with an entry; nothing of it was saved."""

    faults: tuple[Fault, ...]
