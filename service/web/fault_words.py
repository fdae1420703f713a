"""What is wrong with what was entered, in words that say what to do."""

from collections.abc import Sequence

from service.enrolment.faults import Fault, FaultCode
from service.web.sentence import Sentence, sentence


def fault_words(fault: Fault) -> Sentence:  # noqa: C901, PLR0911, PLR0912, PLR0915 -- one line a code
    """Return what to do about a fault."""
    values = fault.values
    match fault.code:
        case FaultCode.NEEDED:
            return sentence("Fill this in.")
        case FaultCode.TOO_LONG:
            return sentence("Shorten this to %(most)s letters or fewer.", **values)
        case FaultCode.ONE_LINE:
            return sentence("Write it on one line, without tabs or special keys.")
        case FaultCode.OUT_OF_RANGE:
            return sentence("Write a number from %(least)s to %(most)s.", **values)
        case FaultCode.WHOLE_NUMBER:
            return sentence("Write a whole number.")
        case FaultCode.TIME_RANGE:
            return sentence("Choose a time from %(least)s to %(most)s.", **values)
        case FaultCode.BOTH_GIVEN:
            return sentence("Tell this in one way only; empty the other field.")
        case FaultCode.NO_SUCH_AREA | FaultCode.LANGUAGE:
            return sentence("Choose one of this list.")
        case FaultCode.CODE_LETTERS:
            return sentence("Use letters, digits and dashes only.")
        case FaultCode.CODE_TAKEN | FaultCode.LABEL_TAKEN | FaultCode.NUMBER_TAKEN:
            return sentence("%(alias)s has this already; choose another.", **values)
        case FaultCode.LABEL_LETTERS | FaultCode.WORD_LETTERS:
            return sentence("Some letters are not on every phone; write it without them.")
        case FaultCode.LABEL_LONG:
            return sentence("Shorten this to %(most)s letters or fewer.", **values)
        case FaultCode.WORD_LONG:
            return sentence("Choose a shorter word: at most 12 letters.")
        case FaultCode.WORD_SWALLOWED:
            return sentence("This word names something to eat or drink; choose another.")
        case FaultCode.WORD_REVEALING:
            return sentence("This word gives away what it is; choose one that does not.")
        case FaultCode.WORD_KEYWORD:
            return sentence("Growers answer with this word; choose another.")
        case FaultCode.PHONE_UNREADABLE:
            return sentence("Type the number with digits only, with or without +255 in front.")
        case FaultCode.PHONE_SHORT_CODE:
            return sentence("This is a short code, not a person's number. Type the whole number.")
        case FaultCode.PHONE_TOO_SHORT:
            return sentence("The number has too few digits. Count them again.")
        case FaultCode.PHONE_TOO_LONG:
            return sentence("The number has too many digits. Count them again.")
        case FaultCode.PHONE_WRONG_LENGTH:
            return sentence("The number has a digit too many or too few. Count them again.")
        case FaultCode.PHONE_OTHER_COUNTRY:
            return sentence("This number is of another country. Type one of this country.")
        case FaultCode.PHONE_NOT_ASSIGNED:
            return sentence("No operator has numbers like this. Check every digit.")
        case FaultCode.PHONE_NOT_MOBILE:
            return sentence("This number cannot get texts. Type a mobile number.")
        case FaultCode.ALREADY_USED:
            return sentence(
                "This number is already used by %(who)s. If they share one phone, tick the box "
                "below; if not, type another number.",
                who=_named(values["households"]),
            )
        case FaultCode.NEEDS_PHONE:
            return sentence("Type the phone number that they said yes for.")
        case FaultCode.OTHER_WORDS:
            return sentence("A yes of that day is recorded already. Give the day of the new one.")
        case FaultCode.NOT_YET:
            return sentence("This day has not come yet. Give a day up to %(latest)s.", **values)
        case FaultCode.TOO_EARLY:
            return sentence("This is too long ago. Give a day from %(earliest)s.", **values)
        case FaultCode.NEEDS_PLOT:
            return sentence("Say how large the plot is.")
        case FaultCode.AREA:
            return sentence(
                "This makes %(area_m2)s m². Check it: a plot has %(least)s to %(most)s m².",
                **values,
            )
        case FaultCode.STILL_PLANTED:
            return sentence(
                "Another crop still stands on this plot. Note its harvest first, or add a plot."
            )
        case FaultCode.UNKNOWN_CROP:
            return sentence("Choose a crop of this list.")
        case FaultCode.LEGUME:
            return sentence(
                "Beans, cowpeas and groundnuts make their own nitrogen: they need none. Keep the "
                "cans for another crop."
            )
        case FaultCode.PERENNIAL:
            return sentence(
                "This crop bears for years, and its doses go by the rains. Enter the rains of the "
                "area first, on the page Areas."
            )
        case FaultCode.WATERLOGGED:
            return sentence(
                "In standing water urine is lost. Plan rice only on drained or upland ground, and "
                "tick that you have seen it."
            )
        case FaultCode.WATER:
            return sentence(
                "Give from %(least)s to %(most)s parts of water to one of urine.", **values
            )
        case FaultCode.OVER_CEILING:
            return sentence("This ground bears at most %(most)s litres a square metre.", **values)
        case FaultCode.YEARS_AWAY:
            return sentence("This is years from today. Check the year.")
        case FaultCode.UP_BEFORE_PLANTED:
            return sentence("Plants are not up before they are sown. Check both days.")
        case FaultCode.UP_AFTER_PICKED:
            return sentence("Plants are not up after the first picking. Check the days.")
        case FaultCode.PICKED_BEFORE_PLANTED:
            return sentence("The first picking must come after planting. Check the days.")
        case FaultCode.PICKED_AFTER_SEASON:
            return sentence(
                "The first picking would come after the season's end on %(season_ends_on)s. Give "
                "the season's days too.",
                **values,
            )
        case FaultCode.NO_NUMBER_LEFT:
            return sentence("All can numbers are in use on this phone.")
        case FaultCode.SEALED_BEFORE_OPENED:
            return sentence("A can is sealed after its filling began. Check both days.")
        case FaultCode.EMPTIED_BEFORE_SEALED:
            return sentence("A can is emptied after it was sealed. Check both days.")
        case FaultCode.LAST_BEFORE_FIRST:
            return sentence("The last day comes before the first. Check both days.")
        case FaultCode.HOLD_TOO_LONG:
            return sentence(
                "This is more than %(most_days)s days without doses. Check both days.", **values
            )
        case FaultCode.NO_SUCH_KIND:
            return sentence("Choose one of this list.")
        case FaultCode.NO_SOURCE:
            return sentence(
                "Write where the figure comes from, in %(least)s letters or more: a trial, a "
                "table, who said it and when.",
                **values,
            )
        case FaultCode.PATTERN:
            return sentence(
                "Write at most %(most)s whole days by comma, rising up to %(most_day)s, with "
                "%(gap_days)s days or more between two, such as 7, 14, 21, 28, 42, 56.",
                **values,
            )
        case FaultCode.HARVESTED_ONCE:
            return sentence(
                "This crop is harvested once, when its season ends. Give the season's days."
            )
        case FaultCode.OVER_CEILING_HERE:
            return sentence(
                "Somewhere this makes %(litres)s L of urine a square metre, and the ground bears "
                "at most %(most)s. Lower the nitrogen target, or check the content.",
                **values,
            )


def _named(households: object) -> str:
    pairs = households if isinstance(households, Sequence) else ()
    return ", ".join(f"{alias} ({code})" for code, alias in pairs)
