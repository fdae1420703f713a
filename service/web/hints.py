"""Why a report cannot be right as it stands, and what to do: one sentence for each hint.

A test holds this list against the hints that service/confirmations can give.
"""

from collections.abc import Mapping

from service.web.sentence import Sentence, sentence

HINTS: Mapping[str, Sentence] = {
    "a dose was given before": sentence(
        "A dose is noted for an earlier day. Ask again on which day it was sown, then write a day"
        " before that dose."
    ),
    "plants were up before": sentence(
        "The plants are noted as up on an earlier day. Ask again which of the two days is right."
    ),
    "up too soon after sowing": sentence(
        "That is too soon after sowing for plants to be up. Ask again, and note the day of sowing"
        " first if it was another."
    ),
    "no dose to hold": sentence("No dose is left that could wait. There is nothing to note."),
    "no such dose": sentence("The plan has no such dose to note this for. Choose another dose."),
    "future": sentence("That day is still to come. Write a day up to today."),
    "the planting is over": sentence(
        "This crop was harvested already, so nothing more is noted for it."
    ),
    "too long ago": sentence("That day is too far back for a text. Ask on which day it was done."),
    "before sowing": sentence(
        "That is before sowing. Write a later day, or note the day of sowing first."
    ),
    "before the dose before it": sentence(
        "The dose before it is noted for a later day. Ask again which dose was done on which day."
    ),
    "not due yet": sentence(
        "That is more than two days before this dose's day. Ask again which dose was done, and"
        " on which day."
    ),
    "was noted as done": sentence(
        "This dose is noted as done. Ask again: if it was another dose, choose that one."
    ),
    "sealed too long ago": sentence(
        "That day is too far back, or still to come. Ask again on which day the can was sealed."
    ),
    "can number": sentence("This household has no can with that number. Ask for its number."),
    "no ready date: store temperature": sentence(
        "The store's mean temperature is not recorded as 20 degrees or more, so no ready day can"
        " be named. Record the temperature, or keep the can for another use."
    ),
    "can news too long ago": sentence("That day is too far back. Ask again on which day it was."),
    "before the last news of the can": sentence(
        "Something newer is noted of this can. Ask again on which day it was; if it was before"
        " that, there is nothing to note."
    ),
}
UNKNOWN = sentence("This cannot be right as it stands. Ask again what happened, and when.")


def hint_words(hint: str) -> Sentence:
    """Return what is wrong with a report and what to do about it."""
    return HINTS.get(hint, UNKNOWN)
