"""What is said after something was enrolled."""

from service.enrolment.entries import Enrolment
from service.enrolment.results import (
    CanAdded,
    ConsentOutcome,
    ConsentRecorded,
    ConsentRefused,
    Enrolled,
    NewSign,
    PhoneAdded,
    PlantingAdded,
    PlotAdded,
    Sign,
    Stopped,
)
from service.messages.phone import shown_number
from service.web.sentence import Sentence, sentence


def enrolled_words(
    enrolled: Enrolled, entry: Enrolment
) -> tuple[tuple[Sentence, ...], tuple[Sentence, ...]]:
    """Return what to say of a new household, and what is to be minded."""
    said = [
        sentence(
            "Household %(code)s was saved: %(alias)s.",
            code=enrolled.code,
            alias=entry.household.alias,
        )
    ]
    notes: list[Sentence] = []
    for part in (enrolled.phone, enrolled.plot):
        if part is not None:
            words, more = phone_words(part) if isinstance(part, PhoneAdded) else plot_words(part)
            said.append(words)
            notes += more
    if enrolled.consent is not None:
        said.append(consent_words(enrolled.consent))
    if enrolled.planting is not None:
        said.append(planting_words(enrolled.planting))
    if enrolled.can is not None:
        said.append(can_words(enrolled.can))
    return tuple(said), tuple(notes)


def phone_words(added: PhoneAdded) -> tuple[Sentence, tuple[Sentence, ...]]:
    """Return how a number was read, and what changed by sharing it."""
    notes = [_sign_words(sign) for sign in added.new_signs]
    if added.stopped:
        notes.append(
            sentence("This phone has said STOP. Only the phone itself can start texts: START.")
        )
    if added.shared_with:
        notes.append(
            sentence("The phone is shared with %(codes)s.", codes=", ".join(added.shared_with))
        )
    return sentence("Phone: %(number)s.", number=shown_number(added.number)), tuple(notes)


def consent_words(outcome: ConsentOutcome) -> Sentence:
    """Return what follows from what they said."""
    match outcome:
        case ConsentRecorded():
            return sentence(
                "Their yes is recorded. The phone now gets one invitation, between 06:00 and "
                "20:00, and texts begin once it answers YES."
            )
        case ConsentRefused():
            return sentence("Their no is noted. Nothing is sent.")
        case Stopped():
            return sentence(
                "Nothing was recorded: this phone has said STOP. It can text START to begin again."
            )


def plot_words(added: PlotAdded) -> tuple[Sentence, tuple[Sentence, ...]]:
    """Return a plot's letter and area, and what water it must keep clear of."""
    notes = tuple(
        sentence(
            "Water is %(near)s m from plot %(plot)s: keep %(metres)s m clear of it. Source: "
            "%(source)s. A stricter local rule goes first.",
            near=warning.distance_m,
            plot=added.letter or added.code,
            metres=warning.buffer.metres,
            source=warning.buffer.origin.source,
        )
        for warning in added.warnings
    )
    if added.hazards:
        risky = sentence(
            "The ground of plot %(plot)s is risky, so it gets nothing until somebody decides on"
            " the plot's page.",
            plot=added.letter or added.code,
        )
        notes = (risky, *notes)
    if added.letter is None:
        ninth = sentence(
            "All eight letters are in use on this phone, so this plot gets calls, not texts."
        )
        return sentence("Plot %(code)s: %(m2)s m².", code=added.code, m2=added.area.m2), (
            ninth,
            *notes,
        )
    if not added.area.measured:
        return sentence("Plot %(code)s: %(m2)s m².", code=added.letter, m2=added.area.m2), notes
    said = sentence(
        "Plot %(letter)s: %(m2)s m² (%(measured)s).",
        letter=added.letter,
        m2=added.area.m2,
        measured=added.area.measured,
    )
    return said, notes


def planting_words(added: PlantingAdded) -> Sentence:
    """Return the first day of the plan, or that no dose fits."""
    if not added.plan.doses:
        return sentence("The planting was saved. No dose fits; its page says why.")
    first = added.plan.doses[0]
    return sentence(
        "The planting was saved. First dose on %(day)s: %(litres)s L of urine.",
        day=first.due_on,
        litres=first.litres,
    )


def can_words(added: CanAdded) -> Sentence:
    """Return the can's number and the day it is ready."""
    if added.ready_on is None:
        return sentence("Can %(n)s was saved. Write this number on it.", n=added.number)
    return sentence(
        "Can %(n)s was saved and is ready on %(day)s. Write the number and the day of sealing "
        "on it.",
        n=added.number,
        day=added.ready_on,
    )


def _sign_words(sign: NewSign) -> Sentence:
    match sign.sign:
        case Sign.LETTER if sign.after is None:
            return sentence("Plot %(old)s has no letter any more: call for it.", old=sign.before)
        case Sign.LETTER:
            return sentence(
                "Plot %(old)s is now plot %(new)s: tell the grower.",
                old=sign.before,
                new=sign.after,
            )
        case Sign.CAN_NUMBER:
            return sentence(
                "Can %(old)s is now can %(new)s: write it on the can.",
                old=sign.before,
                new=sign.after or "",
            )
        case Sign.LABEL:
            return sentence(
                "Texts on the shared phone call this household %(new)s.", new=sign.after or ""
            )
