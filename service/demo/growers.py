"""What the invented growers text at noon, from what they know and how they are."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.demo.homes import Field, Home, late_number, safe_day
from service.demo.phrases import done, word
from service.records.fields import DoseState

TOO_LATE_DAYS = 9
LATE_DAYS = 2  # after the cut-off
SOMETIMES = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowerText:
    """A text from a grower; `key` is the same whenever the same day is played again."""

    number: str
    key: str
    text: str


def texts_of(home: Home, today: date) -> list[GrowerText]:
    """Return what a home texts on a day."""
    if home.number is None:
        return []
    number = home.number
    return [
        GrowerText(number=number, key=f"{home.code}:{today.isoformat()}:{place}", text=text)
        for place, text in enumerate(_words(home, today))
    ]


def _words(home: Home, today: date) -> Iterator[str]:
    behaviour, language = home.behaviour, home.language
    if home.invited_on is not None and add_days(home.invited_on, 1) == today:
        answer = {"yes": "yes", "no": "stop"}.get(behaviour.consents)
        if answer is not None and home.owns_phone and not home.consenting:
            yield word(language, answer)
    if today == behaviour.stops_on:
        yield word(language, "stop")
    if today == behaviour.starts_again_on:
        yield word(language, "start")
    if not home.consenting or today == behaviour.stops_on:
        return
    sealed = [seal.can for seal in behaviour.seals if seal.on == today]
    for number in (*sealed, *home.full_cans):
        yield f"{word(language, 'can')} {number}"
    yield from _field_news(home, today)
    yield from _dose_news(home, today)
    yield from _more_dose_news(home, today)
    yield from _asides(home, today)


def _field_news(home: Home, today: date) -> Iterator[str]:
    behaviour, language = home.behaviour, home.language
    for field in home.fields:
        if behaviour.tells_sowing and field.sown_on == today:
            yield f"{field.letter} {word(language, 'sown')}"
        if (
            behaviour.tells_emergence
            and field.up_on == today
            and field.planned.plan.emergence_assumed
        ):
            yield f"{field.letter} {word(language, 'up')}"
        if _harvests(home, field, today):
            yield f"{field.letter} {word(language, 'harvest')}"


def _harvests(home: Home, field: Field, today: date) -> bool:
    safe_on = safe_day(field, today)
    if safe_on is None or home.behaviour.answers == "never":
        return False
    early = home.behaviour.harvests_early_days
    if early is not None:
        return field is home.fields[0] and today == add_days(safe_on, -early)
    ripe_on = max(safe_on, field.planned.plan.first_harvest_on)
    return today == add_days(ripe_on, 3)


def _dose_news(home: Home, today: date) -> Iterator[str]:
    reported: dict[int, list[str]] = {}
    for field in home.fields:
        for number, told_on in field.told.items():
            ago = days_between(told_on, today)
            if ago < 0 or ago != _delay(home, field, number):
                continue
            code = f"{field.letter}{number}"
            if home.applied(field, number, told_on):
                reported.setdefault(ago, []).append(code)
            elif home.behaviour.says_not_done and (number == 1 or told_on >= field.up_on):
                yield f"{code} {word(home.language, 'no')}"
    for ago, codes in sorted(reported.items()):
        if ago and len(codes) > 1:
            for code in codes:
                yield done([code], ago, hand=home.behaviour.phrases, language=home.language)
        else:
            yield done(codes, ago, hand=home.behaviour.phrases, language=home.language)


def _more_dose_news(home: Home, today: date) -> Iterator[str]:
    """Yield what growers tell of doses beside the usual: too early, again, after the cut-off."""
    for field in home.fields:
        numbers = [*_done_early(home, field, today)]
        late = late_number(home, field)
        if late is not None and today == add_days(field.planned.plan.cutoff_on, LATE_DAYS):
            numbers.append(late)
        yield from (f"{field.letter}{number}" for number in numbers)
        yield from _told_again(home, field, today)


def _done_early(home: Home, field: Field, today: date) -> Iterator[int]:
    if home.behaviour.answers != "early":
        return
    for dose in field.doses():
        told = dose.number > 1 and dose.urine_l > 0  # the answer before named its day
        coming = dose.state is DoseState.PLANNED and dose.due_on == add_days(today, 1)
        if told and coming and home.applied(field, dose.number, today):
            yield dose.number


def _told_again(home: Home, field: Field, today: date) -> Iterator[str]:
    for number, told_on in field.told.items():
        ago = days_between(told_on, today)
        reported = _delay(home, field, number)
        if reported < 0 or ago != reported + 1 or not home.applied(field, number, told_on):
            continue
        match home.behaviour.tells_again:
            case "same-day":
                yield f"{field.letter}{number} {ago}"
            case "next-day":
                yield f"{field.letter}{number}"
            case _:
                return


def _delay(home: Home, field: Field, number: int) -> int:
    """Return the days from a dose to its report; -1 where there is none."""
    draw = home.growers.chance("answer", home.code, field.letter, number)
    match home.behaviour.answers:
        case "prompt" | "early":
            return 0
        case "late":
            return 1 + int(draw * 3)
        case "sometimes":
            return 0 if draw < SOMETIMES else -1
        case "reports-too-late":
            return TOO_LATE_DAYS
        case _:
            return -1


def _asides(home: Home, today: date) -> Iterator[str]:
    behaviour, language = home.behaviour, home.language
    first = home.fields[0]
    if today in behaviour.rain_on:
        yield f"{first.letter} {word(language, 'rain')}"
    if today in behaviour.burns_on:
        yield f"{first.letter} {word(language, 'burnt')}"
    if today in behaviour.asks_help_on:
        yield word(language, "help")
    if today in behaviour.asks_why_on:
        yield f"{word(language, 'why')} {first.letter}"
    for note in behaviour.writes:
        if note.on == today:
            past = [number for number, told_on in first.told.items() if told_on <= today]
            code = f"{first.letter}{max(past, default=1)}"
            yield note.text.replace("$plot", first.letter).replace("$code", code)
