"""What a report has led to, in a line for the person who wrote it down."""

from service.agronomy.calendar import MONTH_DAYS
from service.confirmations.crop_news import BURN_DAYS
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
from service.web.hints import hint_words
from service.web.sentence import Sentence, sentence


def outcome_words(outcome: Outcome, *, next_code: str = "") -> Sentence:  # noqa: C901, PLR0911 -- one line an outcome
    """Return the line for an outcome, with the next step.

    Args:
        outcome: what the report led to.
        next_code: the reply code of the next dose, where the caller knows it.
    """
    match outcome:
        case Done():
            return _done(outcome, next_code)
        case LastDone():
            return sentence(
                "Noted: %(code)s done. Give no dose after it. Do not harvest or eat before %(on)s.",
                code=outcome.code,
                on=outcome.harvest_on,
            )
        case Unready():
            return sentence(
                "Noted: %(code)s done, from a can that was not ready. Wash hands and tools with"
                " soap. Do not harvest or eat before %(on)s.",
                code=outcome.code,
                on=outcome.harvest_on,
            )
        case TooMuch():
            return _too_much(outcome)
        case Again():
            return sentence(
                "%(code)s was noted before, as done on %(on)s. That stays.",
                code=outcome.code,
                on=outcome.on,
            )
        case NotDone():
            return sentence(
                "Noted: %(code)s not done. Its last day is %(until)s; after that it is left out,"
                " not made up.",
                code=outcome.code,
                until=outcome.until,
            )
        case Sown() | Up():
            return _grown(outcome, next_code)
        case Held():
            return _held(outcome)
        case Harvested():
            return _harvested(outcome)
        case Sealed():
            return sentence(
                "Noted: can %(number)s sealed on %(on)s. It is ready on %(ready)s.",
                number=outcome.number,
                on=outcome.on,
                ready=outcome.ready_on,
            )
        case Burnt():
            return sentence(
                "Noted: leaves burnt on plot %(letter)s. The next dose waits %(days)s days: look"
                " at the plants before then.",
                letter=outcome.letter,
                days=BURN_DAYS,
            )
        case NeedsReading():
            return hint_words(outcome.hint)


def _done(outcome: Done, next_code: str) -> Sentence:
    values = {"code": outcome.code, "on": outcome.on, "next_on": outcome.next_on}
    if not next_code:
        return sentence("Noted: %(code)s done on %(on)s. Next dose on %(next_on)s.", **values)
    if outcome.moved:
        return sentence(
            "Noted: %(code)s done on %(on)s. Next: %(next)s, moved to %(next_on)s.",
            next=next_code,
            **values,
        )
    return sentence(
        "Noted: %(code)s done on %(on)s. Next: %(next)s on %(next_on)s.", next=next_code, **values
    )


def _too_much(outcome: TooMuch) -> Sentence:
    values = {"letter": outcome.letter, "given": outcome.given_l, "most": outcome.max_l}
    if outcome.next_on is None:
        return sentence(
            "Noted, though the plan had dropped this dose. Plot %(letter)s has had %(given)s L of"
            " the season's %(most)s L. Give no more this season; wait %(days)s days to the"
            " harvest.",
            days=MONTH_DAYS,
            **values,
        )
    return sentence(
        "Noted, though the plan had dropped this dose. Plot %(letter)s has had %(given)s L of the"
        " season's %(most)s L. Give no more before %(next_on)s.",
        next_on=outcome.next_on,
        **values,
    )


def _grown(outcome: Sown | Up, next_code: str) -> Sentence:
    values = {"letter": outcome.letter, "on": outcome.on}
    if outcome.next_on is None:
        if isinstance(outcome, Sown):
            return sentence(
                "Noted: plot %(letter)s sown on %(on)s. No dose is due after today.", **values
            )
        return sentence(
            "Noted: plants up on plot %(letter)s on %(on)s. No dose is due after today.", **values
        )
    values |= {"next": next_code, "next_on": outcome.next_on}
    if isinstance(outcome, Sown):
        return sentence(
            "Noted: plot %(letter)s sown on %(on)s. Next dose: %(next)s on %(next_on)s.", **values
        )
    return sentence(
        "Noted: plants up on plot %(letter)s on %(on)s. Next dose: %(next)s on %(next_on)s.",
        **values,
    )


def _held(outcome: Held) -> Sentence:
    if outcome.next_on is None:
        return sentence(
            "Noted: rain. %(code)s is left out: the next dose is too near, or the last day has"
            " passed.",
            code=outcome.code,
        )
    return sentence(
        "Noted: rain. %(code)s waits until %(next_on)s.",
        code=outcome.code,
        next_on=outcome.next_on,
    )


def _harvested(outcome: Harvested) -> Sentence:
    values = {"letter": outcome.letter, "on": outcome.on}
    if outcome.safe_on is None:
        return sentence(
            "Noted: plot %(letter)s harvested on %(on)s. This planting is closed.", **values
        )
    return sentence(
        "Noted: plot %(letter)s harvested on %(on)s. That is before the safe day: do not harvest"
        " more or eat of it before %(safe_on)s.",
        safe_on=outcome.safe_on,
        **values,
    )
