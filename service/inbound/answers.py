"""Which text answers an outcome, and with which values."""

from dataclasses import dataclass
from datetime import date

from service.confirmations.outcomes import (
    Again,
    Burnt,
    Done,
    Harvested,
    Held,
    LastDone,
    NeedsReading,
    NotDone,
    Outcome,
    Sealed,
    Sown,
    TooMuch,
    Unready,
    Up,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A kind of message and its values."""

    kind: str
    values: dict[str, object]


def answer_of(outcome: Outcome, *, phone: str) -> Answer:  # noqa: PLR0911 -- one return a kind of outcome
    """Return the answer to an outcome. `phone` is the number of a person to ask."""
    match outcome:
        case Done():
            return _done(outcome)
        case LastDone():
            return Answer(
                kind="last",
                values={
                    "code": outcome.code,
                    "crop": outcome.crop,
                    "plot": outcome.letter,
                    "harvest": _day(outcome.harvest_on),
                },
            )
        case Unready():
            return Answer(
                kind="r_unready",
                values={
                    "code": outcome.code,
                    "plot": outcome.letter,
                    "harvest": _day(outcome.harvest_on),
                    "phone": phone,
                },
            )
        case TooMuch():
            return Answer(
                kind="refuse",
                values={
                    "plot": outcome.letter,
                    "given": outcome.given_l,
                    "max": outcome.max_l,
                    "next": _day(outcome.next_on),
                    "phone": phone,
                },
            )
        case Again():
            return Answer(kind="r_again", values={"code": outcome.code, "day": _day(outcome.on)})
        case NotDone():
            return Answer(
                kind="r_notdone",
                values={"code": outcome.code, "until": _day(outcome.until), "phone": phone},
            )
        case NeedsReading():
            return Answer(kind="unread", values={})
        case Sown() | Up() | Held() | Harvested() | Sealed() | Burnt():
            return _field_answer(outcome, phone=phone)


def _done(outcome: Done) -> Answer:
    values: dict[str, object] = {
        "code": outcome.code,
        "day": _day(outcome.on),
        "next": _day(outcome.next_on),
    }
    if outcome.moved:
        return Answer(kind="r_late", values=values)
    return Answer(kind="r_done", values=values | {"plot": outcome.letter})


def _field_answer(outcome: Sown | Up | Held | Harvested | Sealed | Burnt, *, phone: str) -> Answer:  # noqa: PLR0911 -- one return a kind of outcome
    match outcome:
        case Sown():
            return Answer(
                kind="r_sown",
                values={
                    "crop": outcome.crop,
                    "plot": outcome.letter,
                    "day": _day(outcome.on),
                    "next": _day(outcome.next_on),
                },
            )
        case Up():
            return Answer(
                kind="r_up",
                values={
                    "plot": outcome.letter,
                    "day": _day(outcome.on),
                    "next": _day(outcome.next_on),
                },
            )
        case Held():
            return Answer(
                kind="r_rain",
                values={
                    "code": outcome.code,
                    "plot": outcome.letter,
                    "next": _day(outcome.next_on),
                },
            )
        case Harvested():
            if outcome.safe_on is None:
                return Answer(
                    kind="r_harvest", values={"plot": outcome.letter, "day": _day(outcome.on)}
                )
            return Answer(
                kind="harvest_early",
                values={
                    "plot": outcome.letter,
                    "harvest": _day(outcome.safe_on),
                    "phone": phone,
                },
            )
        case Sealed():
            return Answer(
                kind="sealed",
                values={
                    "n": outcome.number,
                    "day": _day(outcome.on),
                    "wait": outcome.wait_days,
                    "ready": _day(outcome.ready_on),
                },
            )
        case Burnt():
            return Answer(kind="r_burn", values={"plot": outcome.letter, "phone": phone})


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
