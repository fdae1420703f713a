"""What a person reads in a text becomes a fact, and the grower is answered.

1. It is recorded as told by the grower on the day the text came, and noted by the reader.
2. A text that may be a refusal goes on waiting: whether texts go on is a decision of its own.
3. The grower gets the answer that a sure text would have got, while that is still news.
"""

from dataclasses import dataclass

from service.agronomy.calendar import add_days
from service.confirmations.cans import confirm_sealed
from service.confirmations.outcomes import NeedsReading, Outcome
from service.confirmations.plot_state import look, replan
from service.inbound.answers import answer_of
from service.inbound.choices import choice_of
from service.inbound.consent_acts import start
from service.inbound.limits import is_muted
from service.inbound.plot_reports import report_on_plot
from service.inbound.replies import Replies
from service.inbound.reply_codes import Item, Meaning, Reading
from service.inbound.settling import Reader, note, pauses, settle
from service.inbound.waiting_texts import WaitingText
from service.planning.send_window import ANSWER_KEPT
from service.records.inbox import answers_to
from service.records.phones import PhoneBundle


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What a reading led to, one outcome an item; `answered`: the grower gets an answer."""

    outcomes: tuple[Outcome, ...]
    answered: bool


def take_reading(reader: Reader, text: WaitingText, reading: Reading) -> Taken | NeedsReading:
    """Record what a person reads in a text of an enrolled phone.

    Where a part of it cannot be right the reason is returned, and the caller must keep nothing.

    Raises:
        ValueError: nobody has enrolled the number, so it can report nothing.
    """
    if text.phone is None:
        raise ValueError("a number that nobody has enrolled reports nothing")
    replies = _replies(reader, text, text.phone)
    before = len(replies.sent)
    if reading.meaning is Meaning.CONSENT:
        start(replies, text.phone, text.situation)
    outcomes: list[Outcome] = []
    for item in reading.items:
        outcome = _outcome(reader, text, reading.meaning, item)
        if isinstance(outcome, NeedsReading):
            return outcome
        outcomes.append(outcome)
        if _is_news(reader, text, text.phone):
            replies.send(
                answer_of(outcome, phone=reader.association.phone),
                household_id=_home(text, item),
            )
    if pauses(text):
        note(reader, text, choice_of(reading))
    else:
        settle(reader, text, choice_of(reading))
    return Taken(outcomes=tuple(outcomes), answered=len(replies.sent) > before)


def _outcome(reader: Reader, text: WaitingText, meaning: Meaning, item: Item) -> Outcome:
    # judged as on the day the text came, like a sure one; planned anew as of today
    came_on = text.situation.context.received_on
    desk, on = reader.desk(came_on), add_days(came_on, -item.days_ago)
    if meaning is Meaning.SEALED:
        return confirm_sealed(desk, _home(text, item), item.can or 0, on=on)
    planting_id = text.situation.plantings[item.plot or ""].planting.id
    outcome = report_on_plot(desk, planting_id, meaning, item, on=on)
    # a harvested plot has no plan any more
    if came_on != reader.today and meaning is not Meaning.HARVEST:
        desk = reader.desk(reader.today)
        replan(desk, look(desk, planting_id))
    return outcome


def _home(text: WaitingText, item: Item) -> int:
    if item.plot is None:
        return text.situation.cans[item.can or 0]
    return text.situation.plantings[item.plot].household.id


def _is_news(reader: Reader, text: WaitingText, phone: PhoneBundle) -> bool:
    return reader.now - text.row.received_at < ANSWER_KEPT and not phone.stopped()


def _replies(reader: Reader, text: WaitingText, phone: PhoneBundle) -> Replies:
    return Replies(
        session=reader.session,
        association=reader.association,
        phone=phone,
        inbound=text.row,
        now=reader.now,
        silent=not _is_news(reader, text, phone) or is_muted(phone, now=reader.now),
        # an answer's key counts on from those that the text has had, "a person will read" first
        sent=[""] * answers_to(reader.session, reader.association.id, text.row.id),
    )
