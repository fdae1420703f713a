"""All that the page of one task shows."""

from collections.abc import Callable
from dataclasses import dataclass

from service.confirmations.calls import Said, about_task, answers_to
from service.dispatch.rendering import renderer
from service.messages.render import Rendered
from service.records.engine import Session
from service.records.household_talk import talk_of_phones
from service.records.people import PhoneRow
from service.records.phones import phones_by_ids
from service.records.task_lines import task_line, task_order
from service.records.traffic import CallTaskRow
from service.web.here import Here
from service.web.household_texts import Hours, TalkDay, talk_days
from service.web.sentence import Sentence
from service.web.task_buttons import Button, buttons_of, day_button
from service.web.task_lists import TO_CALL, TaskItem, task_items
from service.web.task_script import script_of
from service.web.task_words import ask_words

CONTACTS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskView:
    """A task with its last contacts, what to say, and the ways to settle it."""

    item: TaskItem
    numbers: tuple[str, ...]
    ask: Sentence
    script: Rendered | None
    contacts: tuple[TalkDay, ...]
    buttons: tuple[Button, ...]
    day_button: Button | None
    next_id: int | None  # the task after this one; the first where this is the last
    others: int  # how many more wait


def task_view(
    session: Session, asked: Here, task_id: int, *, write_number: Callable[[str], str]
) -> TaskView:
    """Return a task as it stands; numbers are written by `write_number`."""
    tenant = asked.association_id
    line = task_line(session, tenant, task_id)
    (item,) = task_items(session, tenant, [line])
    answers, phones = ways_to_settle(session, tenant, line.task)
    order = task_order(session, tenant, kinds=TO_CALL, today=asked.today)
    senders = [line.text.sender] if line.text is not None and not phones else []
    return TaskView(
        item=item,
        numbers=tuple(write_number(number) for number in _numbers(phones) + senders),
        ask=ask_words(line.task.kind),
        script=script_of(
            session,
            asked.association,
            line,
            catalogue=asked.services.catalogue,
            now=asked.now,
            today=asked.today,
        ),
        contacts=_contacts(session, asked, phones),
        buttons=tuple(buttons_of(answers, phones)),
        day_button=day_button(answers),
        next_id=next_of(order, task_id),
        others=len([each for each in order if each != task_id]),
    )


def ways_to_settle(
    session: Session, association_id: int, task: CallTaskRow
) -> tuple[tuple[Said, ...], list[PhoneRow]]:
    """Return what may come of a task's call, and the phones that may be called."""
    about = about_task(session, association_id, task)
    known = phones_by_ids(session, association_id, about.phones)
    phones = [known[phone_id].phone for phone_id in about.phones if phone_id in known]
    return answers_to(task, about), phones


def next_of(order: list[int], task_id: int) -> int | None:
    """Return the id after a task's in the order, from the top again after the last."""
    others = [each for each in order if each != task_id]
    if not others:
        return None
    place = order.index(task_id) if task_id in order else 0
    return others[place % len(others)]


def _numbers(phones: list[PhoneRow]) -> list[str]:
    return [phone.number for phone in phones]


def _contacts(session: Session, asked: Here, phones: list[PhoneRow]) -> tuple[TalkDay, ...]:
    texts = talk_of_phones(
        session,
        asked.association_id,
        [phone.id for phone in phones],
        first=0,
        most=CONTACTS,
    )
    hours = Hours(zone=asked.zone, today=asked.today)
    preview = renderer(asked.services.catalogue, asked.association.language)
    return tuple(talk_days(texts, (), hours=hours, preview=preview))
