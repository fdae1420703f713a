"""What a call brought: facts, taken as those of a text are, and what becomes of the task.

Where two people settle one task, the first outcome stands and the second changes nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.calendar import add_days
from service.confirmations.crop_news import confirm_up
from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.outcomes import Desk, NeedsReading, Outcome
from service.confirmations.stopping import stop_phone
from service.outbox.lookups import links_of
from service.records.engine import Session
from service.records.household_list import phones_of_households
from service.records.lookups import dose_by_id, mark_told
from service.records.people import AuditRow
from service.records.tasks import audit, close_task, put_off_task, task_to_settle
from service.records.traffic import CallTaskRow, TaskKind

TRIES = 3
NEXT_TRY_DAYS = 1
ASK_AGAIN_DAYS = 3  # project choice: plants that are not up today may be in three days


class Said(StrEnum):
    """What may come of a call; the value is kept with the task."""

    DONE = "done"
    NOT_DONE = "not done"
    UP = "up"
    NOT_YET = "not yet"
    TOLD = "told"
    SPOKEN = "spoken to"
    NO_ANSWER = "no answer"
    WRONG_NUMBER = "wrong number"
    MOVED = "moved away"
    STOP = "wants to stop"


WITH_DAY = (Said.DONE, Said.UP)
TOLD_KINDS = (TaskKind.BY_CALL, TaskKind.NOT_TOLD, TaskKind.NO_ROOM, TaskKind.UNKNOWN)


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """The dose, the planting and the phones that a task is about, as far as it has them."""

    dose_id: int | None
    dose_number: int | None
    planting_id: int | None
    phones: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What came of a call: on which day, and which of several phones, where that matters."""

    said: Said
    on: date | None = None
    phone_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The task is closed; `report` is what its news led to, `tries` how many calls it took."""

    said: Said
    report: Outcome | None = None
    tries: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PutOff:
    """The task waits until a day; `tries` calls were not answered."""

    said: Said
    until: date
    tries: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SettledBefore:
    """Somebody was faster: the task was closed already, and nothing has changed."""

    task: CallTaskRow


CallResult = Settled | PutOff | SettledBefore | NeedsReading


def about_task(session: Session, association_id: int, task: CallTaskRow) -> About:
    """Return what a task is about; a text that may not have left speaks for its one dose."""
    dose_id = task.dose_id
    if task.kind is TaskKind.UNKNOWN:
        links = links_of(session, association_id, message_of(task))
        dose_id = links[0].dose_id if len(links) == 1 else None
    dose = None if dose_id is None else dose_by_id(session, association_id, dose_id)
    return About(
        dose_id=dose_id,
        dose_number=None if dose is None else dose.number,
        planting_id=task.planting_id if dose is None else dose.planting_id,
        phones=_phones(session, association_id, task),
    )


def message_of(task: CallTaskRow) -> int:
    """Return the id of the text of which a task says that nobody knows whether it left."""
    number = task.key.rpartition(":")[2]
    return int(number) if number.isdecimal() else 0


def _phones(session: Session, association_id: int, task: CallTaskRow) -> tuple[int, ...]:
    if task.phone_id is not None:
        return (task.phone_id,)
    if task.household_id is None:
        return ()
    found = phones_of_households(session, association_id, (task.household_id,))
    return tuple(bundle.phone.id for bundle in found.get(task.household_id, ()))


def answers_to(task: CallTaskRow, about: About) -> tuple[Said, ...]:
    """Return what may come of a task's call, in the order to be shown."""
    return (*_news(task, about), *_reached(task, about.phones))


def _news(task: CallTaskRow, about: About) -> tuple[Said, ...]:
    of_dose = () if about.dose_number is None else (Said.DONE, Said.NOT_DONE)
    if task.kind in TOLD_KINDS:
        return (Said.TOLD, *of_dose)
    if task.kind is TaskKind.EMERGENCE and about.planting_id is not None:
        return Said.UP, Said.NOT_YET
    if task.kind in (TaskKind.SILENT, TaskKind.UNREAD) and of_dose:
        return of_dose
    return (Said.SPOKEN,)


def _reached(task: CallTaskRow, phones: Sequence[int]) -> tuple[Said, ...]:
    if task.kind is TaskKind.ENROL:
        return (Said.NO_ANSWER,)
    if not phones:
        return Said.NO_ANSWER, Said.MOVED
    return Said.NO_ANSWER, Said.WRONG_NUMBER, Said.MOVED, Said.STOP


def settle_call(desk: Desk, task_id: int, answer: Answer) -> CallResult:
    """Take what came of a call, and close the task or put it off.

    Raises:
        NoResultFound: the association has no such task.
        ValueError: the task does not allow this answer, or it lacks its day, or has another phone.
    """
    task = task_to_settle(desk.session, desk.association_id, task_id)
    if task.closed_at is not None:
        return SettledBefore(task=task)
    about = about_task(desk.session, desk.association_id, task)
    if answer.said not in answers_to(task, about):
        raise ValueError(f"a call about {task.kind} cannot end with {answer.said!r}")
    if answer.phone_id is not None and answer.phone_id not in about.phones:
        raise ValueError("the task is about no such phone")
    match answer.said:
        case Said.NO_ANSWER if task.tries + 1 < TRIES:
            return _put_off(desk, task, answer.said, days=NEXT_TRY_DAYS, tries=task.tries + 1)
        case Said.NOT_YET:
            return _put_off(desk, task, answer.said, days=ASK_AGAIN_DAYS, tries=task.tries)
        case Said.WRONG_NUMBER | Said.MOVED | Said.STOP:
            for phone_id in about.phones if answer.phone_id is None else (answer.phone_id,):
                stop_phone(desk, phone_id)
        case _:
            pass
    report = _report(desk, about, answer)
    if isinstance(report, NeedsReading):
        return report
    tries = task.tries + 1
    outcome = answer.said.value if answer.on is None else f"{answer.said} {answer.on.isoformat()}"
    close_task(
        desk.session,
        desk.association_id,
        task.id,
        outcome=outcome,
        now=desk.now,
        who=desk.noted_by,
    )
    _note(desk, task, outcome)
    return Settled(said=answer.said, report=report, tries=tries)


def _put_off(desk: Desk, task: CallTaskRow, said: Said, *, days: int, tries: int) -> PutOff:
    until = add_days(desk.today, days)
    put_off_task(desk.session, desk.association_id, task.id, until=until, tries=tries)
    _note(desk, task, said.value)
    return PutOff(said=said, until=until, tries=tries)


def _report(desk: Desk, about: About, answer: Answer) -> Outcome | None:
    if answer.said in WITH_DAY and answer.on is None:
        raise ValueError(f"{answer.said!r} needs a day")
    match answer.said, about.planting_id, about.dose_number, answer.on:
        case Said.DONE, int(planting_id), int(number), date() as on:
            return confirm_done(desk, planting_id, number, on=on)
        case Said.NOT_DONE, int(planting_id), int(number), _:
            return confirm_not_done(desk, planting_id, number)
        case Said.UP, int(planting_id), _, date() as on:
            return confirm_up(desk, planting_id, on=on)
        case Said.TOLD, _, _, _ if about.dose_id is not None:
            mark_told(desk.session, desk.association_id, about.dose_id)
            return None
        case _:
            return None


def _note(desk: Desk, task: CallTaskRow, outcome: str) -> None:
    audit(
        desk.session,
        desk.association_id,
        AuditRow(
            at=desk.now,
            who=desk.noted_by or "",
            what="call settled",
            subject="call_task",
            subject_id=task.id,
            origin=desk.source.value,
            detail={"as": outcome},
        ),
    )
