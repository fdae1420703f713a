"""What a correction of a plot has led to, in a line for the person who made it."""

from service.confirmations.outcomes import NeedsReading
from service.confirmations.staff_outcomes import (
    AreaCorrected,
    EatersSet,
    GroundOutcome,
    SiteDecided,
    SiteTold,
    SiteWithdrawn,
    SoilCorrected,
)
from service.web.can_words import EATERS
from service.web.hints import hint_words
from service.web.household_words import soil_words
from service.web.sentence import Sentence, sentence


def ground_words(outcome: GroundOutcome) -> Sentence:  # noqa: PLR0911 -- one line an outcome
    """Return the line for an outcome."""
    match outcome:
        case AreaCorrected():
            return sentence(
                "The area was corrected from %(before)s to %(after)s m².",
                before=outcome.before_m2,
                after=outcome.after_m2,
            )
        case SoilCorrected():
            return sentence("The soil was noted: %(soil)s.", soil=soil_words(outcome.soil))
        case SiteTold() if outcome.hazards:
            return sentence(
                "The ground was noted as risky. Nothing is given there until somebody decides."
            )
        case SiteTold():
            return sentence("The ground was noted: nothing risky.")
        case SiteDecided():
            return sentence("The decision is written down: the ground may be used.")
        case SiteWithdrawn():
            return sentence("The decision is taken back: nothing is given there.")
        case EatersSet():
            return _eaters(outcome)
        case NeedsReading():
            return hint_words(outcome.hint)


def _eaters(outcome: EatersSet) -> Sentence:
    if outcome.regime is None:
        return sentence("Noted: eaten as in the whole household.")
    return sentence("Noted who eats this crop: %(eaters)s.", eaters=EATERS[outcome.regime])
