"""The invented coordinator's morning: calls, visits, and the reading list.

What a call brings is recorded by the same functions that texts use.
"""

from dataclasses import dataclass
from datetime import date, datetime

from service.agronomy.calendar import add_days
from service.confirmations.calls import TOLD_KINDS, Answer, Said, Settled, settle_call
from service.confirmations.crop_news import confirm_harvest
from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.outcomes import Desk
from service.demo.homes import Field, Home, safe_day
from service.records.engine import Session
from service.records.fields import DoseState, Source
from service.records.inbox import mark_read, reading_list
from service.records.tasks import close_task, open_tasks
from service.records.traffic import CallTaskRow, TaskKind

NAME = "coordinator"
FINISHED = "plot is finished"
REACHED = 0.7  # of the calls, in the demo
ASK_AFTER_DAYS = 2
VISIT_AFTER_DAYS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Morning:
    """A coordinator's morning over the homes of an association."""

    session: Session
    association_id: int
    homes: tuple[Home, ...]
    today: date
    now: datetime

    def desk(self) -> Desk:
        """Return where a call's news is taken."""
        return Desk(
            session=self.session,
            association_id=self.association_id,
            source=Source.CALL,
            today=self.today,
            now=self.now,
            noted_by=NAME,
        )


def work_through(morning: Morning) -> int:
    """Do all that waits for the coordinator; return how many things were done."""
    acts = 0
    for task in open_tasks(morning.session, morning.association_id):
        if task.rests_until is None or task.rests_until <= morning.today:
            acts += _take(morning, task)
    for text in reading_list(morning.session, morning.association_id):
        mark_read(morning.session, morning.association_id, text.id, who=NAME, now=morning.now)
        acts += 1
    for home in morning.homes:
        for field in home.fields:
            acts += _ask_after_call(morning, home, field)
            acts += _visit(morning, home, field)
    return acts


def _take(morning: Morning, task: CallTaskRow) -> int:
    answer = _answer(morning, task)
    if answer is None:
        close_task(
            morning.session,
            morning.association_id,
            task.id,
            outcome=FINISHED,
            now=morning.now,
            who=NAME,
        )
        return 1
    return int(isinstance(settle_call(morning.desk(), task.id, answer), Settled))


def _answer(morning: Morning, task: CallTaskRow) -> Answer | None:
    """Return what comes of a call; None where the plot it was about is finished."""
    match task.kind:
        case TaskKind.SILENT | TaskKind.UNREAD if task.dose_id is not None:
            return _ask(morning, task)
        case TaskKind.EMERGENCE:
            return _ask_emergence(morning, task)
        case kind if kind in TOLD_KINDS:
            return Answer(said=Said.TOLD)
        case TaskKind.ENROL:
            return Answer(said=Said.NO_ANSWER)
        case _:
            return Answer(said=Said.SPOKEN)


def _ask(morning: Morning, task: CallTaskRow) -> Answer | None:
    found = _field(morning, task)
    if found is None:
        return None
    home, field = found
    if home.growers.chance("reached", task.key, morning.today) >= REACHED:
        return Answer(said=Said.NO_ANSWER)
    dose = next(item for item in field.doses() if item.id == task.dose_id)
    on = field.told.get(dose.number, dose.due_on)
    if home.applied(field, dose.number, on):
        return Answer(said=Said.DONE, on=on)
    return Answer(said=Said.NOT_DONE)


def _ask_emergence(morning: Morning, task: CallTaskRow) -> Answer | None:
    found = _field(morning, task)
    if found is None:
        return None
    _, field = found
    if field.up_on > morning.today:
        return Answer(said=Said.NOT_YET)
    return Answer(said=Said.UP, on=field.up_on)


def _record(morning: Morning, home: Home, field: Field, number: int, *, on: date) -> None:
    planting_id = field.planned.bundle.planting.id
    if home.applied(field, number, on):
        confirm_done(morning.desk(), planting_id, number, on=on)
    else:
        confirm_not_done(morning.desk(), planting_id, number)


def _ask_after_call(morning: Morning, home: Home, field: Field) -> int:
    acts = 0
    for number, due_on in field.by_call.items():
        open_still = any(
            dose.number == number
            and dose.due_on == due_on
            and dose.state in (DoseState.PLANNED, DoseState.NOT_KNOWN)
            for dose in field.doses()
        )
        if open_still and due_on == add_days(morning.today, -ASK_AFTER_DAYS):
            _record(morning, home, field, number, on=due_on)
            acts += 1
    return acts


def _visit(morning: Morning, home: Home, field: Field) -> int:
    del home
    safe_on = safe_day(field, morning.today)
    ripe_on = max(safe_on or morning.today, field.planned.plan.first_harvest_on)
    if safe_on is None and any(dose.state is DoseState.PLANNED for dose in field.doses()):
        return 0
    if morning.today < add_days(ripe_on, VISIT_AFTER_DAYS):
        return 0
    confirm_harvest(morning.desk(), field.planned.bundle.planting.id, on=morning.today)
    return 1


def _field(morning: Morning, task: CallTaskRow) -> tuple[Home, Field] | None:
    for home in morning.homes:
        for field in home.fields:
            if field.planned.bundle.planting.id == task.planting_id:
                return home, field
    return None
