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
        "This planting is closed already, so nothing more is noted for it."
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
    "sealed twice in a day": sentence(
        "This can is noted as sealed on that day already. Ask again: a can is sealed once a day."
    ),
    "before the last news of the can": sentence(
        "Something newer is noted of this can. Ask again on which day it was; if it was before"
        " that, there is nothing to note."
    ),
    "a dose was given after": sentence(
        "A dose is noted for a later day. Ask again on which day the crop failed, or which dose"
        " was given."
    ),
    "sown again before it was sown": sentence(
        "It is sown again only after the first sowing. Write a later day, or note the day of"
        " sowing first."
    ),
    "plants were up after": sentence(
        "Plants are noted as up on that day or later. Ask again on which day it was sown again."
    ),
    "planned for a day gone by": sentence(
        "That day has passed. Write the day that is planned, from today on."
    ),
    "planned for years from now": sentence("That is years from today. Check the year."),
    "sowing was told": sentence(
        "The sowing is noted already, so it cannot be put off. If seed went in once more, choose"
        " sown again."
    ),
    "a dose was given already": sentence(
        "A dose is noted as given, so the sowing cannot be put off. Note the day of sowing."
    ),
    "no litres": sentence("Write how many litres were given, more than 0."),
    "more than the season's litres": sentence(
        "That is more than this plot takes in a whole season. Ask again how many litres it was."
    ),
    "no burnt leaves": sentence(
        "No burnt leaves are noted here, so doses go on by themselves. There is nothing to note."
    ),
    "no such area": sentence("No plot here is that large or small. Measure it again."),
    "nothing to decide about the ground": sentence(
        "Nothing risky is noted of this ground, so there is nothing to decide."
    ),
    "a decision without a reason": sentence(
        "Write why the ground may be used, so that others can follow the decision."
    ),
    "no decision to take back": sentence("No decision stands, so there is nothing to take back."),
}
UNKNOWN = sentence("This cannot be right as it stands. Ask again what happened, and when.")


def hint_words(hint: str) -> Sentence:
    """Return what is wrong with a report and what to do about it."""
    return HINTS.get(hint, UNKNOWN)
