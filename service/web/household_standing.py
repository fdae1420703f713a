"""How a household stands, in a few words, and what it still lacks for a plan and for texts."""

from collections.abc import Sequence
from dataclasses import dataclass

from service.enrolment.missing import Missing, missing
from service.enrolment.standing import standing_of
from service.records.engine import Session
from service.records.household_list import (
    NO_GROUNDS,
    Grounds,
    HouseholdLine,
    grounds_of_households,
    phones_of_households,
)
from service.records.people import AreaRow, AssociationRow, HouseholdRow
from service.records.phones import PhoneBundle
from service.web.household_view import HouseholdView
from service.web.sentence import Sentence, sentence

FOR_PLAN = (Missing.PLOT, Missing.PLANTING, Missing.CAN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """Something missing: what for, and the part of the enrolment that adds it, if one does."""

    purpose: Sentence
    words: Sentence
    section: str | None


PLAN, TEXTS = sentence("For a plan:"), sentence("For texts:")
LACKS = {
    Missing.PHONE: Lack(purpose=TEXTS, words=sentence("a phone"), section="phone"),
    Missing.CONSENT: Lack(
        purpose=TEXTS, words=sentence("a spoken yes to texts"), section="consent"
    ),
    Missing.START: Lack(
        purpose=TEXTS,
        words=sentence("the phone's own yes: it answers YES to the invitation"),
        section=None,
    ),
    Missing.STOPPED: Lack(
        purpose=TEXTS,
        words=sentence("the phone has stopped its texts; only it can start them, with START"),
        section=None,
    ),
    Missing.LETTER: Lack(
        purpose=TEXTS,
        words=sentence("a plot has no letter, as all eight are taken; call for it"),
        section=None,
    ),
    Missing.PLOT: Lack(purpose=PLAN, words=sentence("a plot"), section="plot"),
    Missing.PLANTING: Lack(purpose=PLAN, words=sentence("a planting"), section="planting"),
    Missing.CAN: Lack(purpose=PLAN, words=sentence("a can"), section="container"),
    Missing.EATERS: Lack(purpose=PLAN, words=sentence("who will eat the crop"), section="people"),
    Missing.STORE_TEMPERATURE: Lack(
        purpose=PLAN,
        words=sentence("how warm the store is; until then no can becomes ready"),
        section=None,
    ),
}
"""What each of them means, and the part of the enrolment that adds it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StateLine:
    """A household in the list, with its state and the sign beside that."""

    household: HouseholdRow
    area: AreaRow
    state: Sentence
    mark: str


def state_lines(
    session: Session, row: AssociationRow, lines: Sequence[HouseholdLine]
) -> list[StateLine]:
    """Return households of a list with how they stand."""
    ids = [line.household.id for line in lines]
    phones = phones_of_households(session, row.id, ids)
    grounds = grounds_of_households(session, row.id, ids)
    return [
        _state_line(
            line,
            row,
            phones.get(line.household.id, []),
            grounds.get(line.household.id, NO_GROUNDS),
        )
        for line in lines
    ]


def _state_line(
    line: HouseholdLine, row: AssociationRow, phones: Sequence[PhoneBundle], grounds: Grounds
) -> StateLine:
    lacks = _lacks(line, row, phones, grounds)
    words, mark = household_state(line.household, phones, lacks)
    return StateLine(household=line.household, area=line.area, state=words, mark=mark)


def household_state(  # noqa: PLR0911 -- one line a state
    household: HouseholdRow, phones: Sequence[PhoneBundle], lacks: Sequence[Missing]
) -> tuple[Sentence, str]:
    """Return how a household stands, the thing to act on first, and the sign beside it."""
    if household.needs_call:
        return sentence("needs a call"), "!"
    if Missing.STOPPED in lacks:
        return sentence("stopped"), "✕"
    for lack in lacks:
        if lack in FOR_PLAN:
            return sentence("no plan yet: %(what)s", what=LACKS[lack].words), "?"
    if not phones:
        return sentence("no phone"), "-"
    if any(household.id in phone.consenting() for phone in phones):
        return sentence("texts on"), "✓"
    if Missing.CONSENT in lacks:
        return sentence("nobody has asked yet"), "?"
    return sentence("waiting for START"), "…"


def lacks_of(view: HouseholdView, row: AssociationRow) -> tuple[Lack, ...]:
    """Return what a household still lacks, in the order in which to add it."""
    found = _lacks(view.line, row, view.bundles, view.grounds)
    return tuple(LACKS[lack] for lack in found)


def _lacks(
    line: HouseholdLine, row: AssociationRow, phones: Sequence[PhoneBundle], grounds: Grounds
) -> tuple[Missing, ...]:
    return missing(standing_of(line, row, phones=phones, grounds=grounds))
