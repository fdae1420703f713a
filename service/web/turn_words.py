"""What a turn of a season has led to, in a line for the person who wrote it down."""

from service.confirmations.outcomes import NeedsReading
from service.confirmations.staff_outcomes import (
    Failed,
    GivenBefore,
    Resown,
    SownLater,
    TurnOutcome,
    WentOn,
)
from service.web.hints import hint_words
from service.web.sentence import Sentence, sentence


def turn_words(outcome: TurnOutcome) -> Sentence:
    """Return the line for an outcome, with the next step."""
    match outcome:
        case Failed():
            return sentence(
                "Noted: the crop on plot %(letter)s failed or never came up, told for %(on)s. No"
                " dose follows. If seed goes in once more, add a planting.",
                letter=outcome.letter,
                on=outcome.on,
            )
        case Resown():
            return sentence(
                "Noted: plot %(letter)s sown again on %(on)s. %(next)s",
                letter=outcome.letter,
                on=outcome.on,
                next=_next(outcome),
            )
        case SownLater():
            return sentence(
                "Noted: plot %(letter)s is to be sown on %(on)s. %(next)s",
                letter=outcome.letter,
                on=outcome.on,
                next=_next(outcome),
            )
        case GivenBefore():
            return sentence(
                "Noted: %(code)s was given on %(on)s, %(litres)s L. %(next)s",
                code=outcome.code,
                on=outcome.on,
                litres=outcome.litres,
                next=_next(outcome),
            )
        case WentOn():
            return sentence(
                "Noted: somebody has looked at plot %(letter)s, and doses go on. %(next)s Pour"
                " beside the plants, not on leaves.",
                letter=outcome.letter,
                next=_next(outcome),
            )
        case NeedsReading():
            return hint_words(outcome.hint)


def _next(outcome: Resown | SownLater | GivenBefore | WentOn) -> Sentence:
    if outcome.next_on is None:
        return sentence("No dose is due after today.")
    return sentence("Next dose on %(day)s.", day=outcome.next_on)
