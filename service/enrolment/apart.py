"""Households that come to share a phone, told apart: the newcomer's signs give way."""

from service.confirmations.outcomes import Desk
from service.enrolment.results import NewSign, Sign
from service.enrolment.signs import label_for, next_letter, next_number
from service.records.enrolment import SignRows, neighbours, sign_rows
from service.records.people import HouseholdRow


def tell_apart(desk: Desk, household: HouseholdRow) -> tuple[NewSign, ...]:
    """Give a household other letters, can numbers and label where a neighbour has the same.

    What nobody else has is kept, since it stands on cards and cans already.
    """
    near = neighbours(desk.session, desk.association_id, household.id)
    others = sign_rows(desk.session, desk.association_id, near)
    own = sign_rows(desk.session, desk.association_id, {household.id})
    changed = (
        *_letters(own, others),
        *_numbers(own, others),
        *_label(household, others),
    )
    desk.session.flush()
    return changed


def _letters(own: SignRows, others: SignRows) -> list[NewSign]:
    theirs = {plot.letter for plot in others.plots} - {None}
    taken = theirs | {plot.letter for plot in own.plots}
    changed = []
    for plot in own.plots:
        if plot.letter is None or plot.letter not in theirs:
            continue
        letter = next_letter(taken)
        changed.append(NewSign(sign=Sign.LETTER, before=plot.letter, after=letter))
        plot.letter = letter
        taken.add(letter)
    return changed


def _numbers(own: SignRows, others: SignRows) -> list[NewSign]:
    theirs = {can.number for can in others.containers}
    taken = theirs | {can.number for can in own.containers}
    changed = []
    for can in own.containers:
        number = next_number(taken)
        if can.number not in theirs or number is None:
            continue
        changed.append(NewSign(sign=Sign.CAN_NUMBER, before=str(can.number), after=str(number)))
        can.number = number
        taken.add(number)
    return changed


def _label(household: HouseholdRow, others: SignRows) -> list[NewSign]:
    theirs = {home.label for home in others.households}
    if household.label.casefold() not in {label.casefold() for label in theirs}:
        return []
    before = household.label
    household.label = label_for(before, code=household.code, taken=theirs)
    return [NewSign(sign=Sign.LABEL, before=before, after=household.label)]
