"""From what a text means to what is done about it."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import add_days
from service.confirmations.cans import confirm_sealed
from service.confirmations.outcomes import Desk, NeedsReading, Outcome
from service.inbound.answers import Answer, answer_of
from service.inbound.consent_acts import start, stop
from service.inbound.plot_reports import report_on_plot
from service.inbound.replies import Replies
from service.inbound.reply_codes import Item, Meaning, Reading, holds_stop_or_refusal
from service.inbound.situation import Situation
from service.inbound.why import why
from service.records.fields import Source
from service.records.phones import PhoneBundle

MAY_NAME_A_DOSE = ("which job?", "who?", "plot?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One read text of a known phone, or a choice in its menu, and what it is acted on with."""

    replies: Replies
    phone: PhoneBundle
    situation: Situation
    reading: Reading
    source: Source = Source.TEXT

    @property
    def today(self) -> date:
        """The farm day on which the text came."""
        return self.situation.context.received_on

    def desk(self) -> Desk:
        """Return where the report is taken."""
        return Desk(
            session=self.replies.session,
            association_id=self.replies.association.id,
            source=self.source,
            today=self.today,
            now=self.replies.now,
        )


def act(taken: Act) -> None:
    """Do what a text means, and answer it."""
    match taken.reading.meaning:
        case Meaning.STOP:
            stop(taken.replies, taken.phone)
        case Meaning.START | Meaning.CONSENT:
            start(taken.replies, taken.phone, taken.situation)
        case Meaning.HELP:
            taken.replies.send(Answer(kind="help", values={"phone": _person(taken)}))
        case Meaning.IGNORE | Meaning.DROP | Meaning.NOTED:
            pass
        case Meaning.NEEDS_READING | Meaning.JOIN:
            hand_over(taken, taken.reading.hint or taken.reading.meaning.value)
        case Meaning.SEALED:
            _sealed(taken)
        case Meaning.WHY:
            _why(taken)
        case (
            Meaning.DONE
            | Meaning.NOT_DONE
            | Meaning.AGAIN
            | Meaning.SOWN
            | Meaning.UP
            | Meaning.HARVEST
            | Meaning.RAIN
            | Meaning.BURN
        ):
            for item in taken.reading.items:
                _on_plot(taken, item)


def hand_over(taken: Act, hint: str) -> None:
    """Put the text on the reading list and tell the grower once a day that a person will read."""
    kept = taken.replies.inbound
    kept.to_read, kept.hint = True, hint[:40]
    # our own words sent back, "Reply STOP" among them, refuse nothing
    kept.pauses = hint != "echo" and holds_stop_or_refusal(kept.text)
    named = "".join(item.plot for item in taken.reading.items if item.plot)
    unclear = hint in MAY_NAME_A_DOSE or any(character.isdigit() for character in kept.text)
    kept.plots = named or ("".join(taken.situation.plantings) if unclear else "")
    taken.replies.send(Answer(kind="unread", values={}))


def _on_plot(taken: Act, item: Item) -> None:
    bundle = taken.situation.plantings.get(item.plot or "")
    if bundle is None:
        hand_over(taken, "plot?")
        return
    on = add_days(taken.today, -item.days_ago)
    outcome = report_on_plot(taken.desk(), bundle.planting.id, taken.reading.meaning, item, on=on)
    _answer(taken, outcome, household_id=bundle.household.id)


def _sealed(taken: Act) -> None:
    for item in taken.reading.items:
        household_id = taken.situation.cans.get(item.can or 0)
        if household_id is None:
            hand_over(taken, "can number")
            continue
        outcome = confirm_sealed(
            taken.desk(), household_id, item.can or 0, on=add_days(taken.today, -item.days_ago)
        )
        _answer(taken, outcome, household_id=household_id)


def _why(taken: Act) -> None:
    for item in taken.reading.items:
        bundle = taken.situation.plantings.get(item.plot or "")
        if bundle is None:
            hand_over(taken, "plot?")
            continue
        answer = why(taken.desk(), bundle.planting.id, phone=_person(taken))
        taken.replies.send(answer, household_id=bundle.household.id)


def _answer(taken: Act, outcome: Outcome, *, household_id: int) -> None:
    if isinstance(outcome, NeedsReading):
        hand_over(taken, outcome.hint)
        return
    taken.replies.send(answer_of(outcome, phone=_person(taken)), household_id=household_id)


def _person(taken: Act) -> str:
    return taken.replies.association.phone
