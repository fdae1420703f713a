"""The invented coordinator's morning: calls, visits, and the reading list.

What a call brings is recorded by the same functions that texts use.
"""

from dataclasses import dataclass
from datetime import date, datetime

from service.agronomy.calendar import add_days, days_between
from service.confirmations.crop_news import confirm_harvest, confirm_up
from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.outcomes import Desk
from service.demo.homes import Field, Home, safe_day
from service.records.engine import Session
from service.records.fields import DoseState, Source
from service.records.inbox import mark_read, reading_list
from service.records.tasks import close_task, open_tasks
from service.records.traffic import CallTaskRow, TaskKind

NAME = "coordinator"
REACHED = 0.7  # of the calls, in the demo
TRIES_DAYS = 3
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
        )


def work_through(morning: Morning) -> int:
    """Do all that waits for the coordinator; return how many things were done."""
    acts = 0
    for task in open_tasks(morning.session, morning.association_id):
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
    outcome = _outcome(morning, task)
    if outcome is None:
        return 0
    close_task(morning.session, morning.association_id, task.id, outcome=outcome, now=morning.now)
    return 1


def _outcome(morning: Morning, task: CallTaskRow) -> str | None:
    match task.kind:
        case TaskKind.SILENT | TaskKind.UNREAD:
            return _ask(morning, task)
        case TaskKind.EMERGENCE:
            return _ask_emergence(morning, task)
        case TaskKind.NOT_TOLD | TaskKind.UNKNOWN | TaskKind.BY_CALL | TaskKind.NO_ROOM:
            return "told"
        case _:
            return "spoken to"


def _ask(morning: Morning, task: CallTaskRow) -> str | None:
    found = _field(morning, task)
    if found is None:
        return "plot is finished"
    home, field = found
    if home.growers.chance("reached", task.key, morning.today) >= REACHED:
        tried = days_between(task.opened_at.date(), morning.today) + 1
        return "no answer" if tried >= TRIES_DAYS else None
    dose = next(item for item in field.doses() if item.id == task.dose_id)
    return _record(morning, home, field, dose.number, on=field.told.get(dose.number, dose.due_on))


def _record(morning: Morning, home: Home, field: Field, number: int, *, on: date) -> str:
    planting_id = field.planned.bundle.planting.id
    if home.applied(field, number, on):
        confirm_done(morning.desk(), planting_id, number, on=on)
        return "done"
    confirm_not_done(morning.desk(), planting_id, number)
    return "not done"


def _ask_emergence(morning: Morning, task: CallTaskRow) -> str:
    found = _field(morning, task)
    if found is None:
        return "plot is finished"
    _, field = found
    if field.up_on > morning.today:
        return "not yet"
    confirm_up(morning.desk(), field.planned.bundle.planting.id, on=field.up_on)
    return "up"


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
