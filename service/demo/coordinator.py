"""The invented coordinator's morning: news of the season, calls, visits, and the reading list.

What it brings is recorded by the same functions that texts and pages use.
"""

from dataclasses import dataclass
from datetime import date, datetime

from service.agronomy.calendar import add_days
from service.confirmations.calls import TOLD_KINDS, Answer, Said, Settled, settle_call
from service.confirmations.crop_news import confirm_harvest
from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.outcomes import Desk
from service.demo.behaviour import Growers
from service.demo.homes import Field, Home, homes_on, late_number, safe_day
from service.demo.plan_log import Moment, PlanLog
from service.demo.staff_acts import do_act
from service.planning.board import Board
from service.planning.board_now import board_now
from service.records.engine import Session
from service.records.fields import DoseState, Source
from service.records.inbox import mark_read, reading_list
from service.records.tasks import close_task, open_tasks
from service.records.traffic import CallTaskRow, InboundRow, TaskKind

Homes = tuple[Home, ...]

NAME = "coordinator"
FINISHED = "plot is finished"
REACHED = 0.7  # of the calls, in the demo
ASK_AFTER_DAYS = 2
VISIT_AFTER_DAYS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Morning:
    """A coordinator's morning with the homes of an association."""

    session: Session
    association_id: int
    growers: Growers
    log: PlanLog
    today: date
    now: datetime

    def desk(self, source: Source = Source.CALL) -> Desk:
        """Return where news is taken: of a call, or as it stands on a page's form."""
        return Desk(
            session=self.session,
            association_id=self.association_id,
            source=source,
            today=self.today,
            now=self.now,
            noted_by=NAME,
        )

    def board(self) -> Board:
        """Return the association as it stands by now."""
        return board_now(self.session, self.association_id, now=self.now)


def work_through(morning: Morning) -> int:
    """Do all that waits for the coordinator; return how many things were done."""
    board, acts = _do_acts(morning)
    homes = homes_on(morning.session, morning.association_id, morning.growers, board=board)
    for task in open_tasks(morning.session, morning.association_id):
        if task.rests_until is None or task.rests_until <= morning.today:
            acts += _take(morning, homes, task)
    for text in reading_list(morning.session, morning.association_id):
        _read(morning, homes, text)
        acts += 1
    for home in homes:
        for field in home.fields:
            acts += _ask_after_call(morning, home, field)
            acts += _visit(morning, field)
    return acts


def _do_acts(morning: Morning) -> tuple[Board, int]:
    moment = Moment(session=morning.session, association_id=morning.association_id, now=morning.now)
    board = morning.board()
    morning.log.look_once(moment, board)
    acts = [
        act
        for act in morning.growers.acts
        if act.on == morning.today and not morning.log.has_done(act)
    ]
    for act in acts:
        do_act(morning.desk(Source.FORM), act)
        before, board = board, morning.board()
        morning.log.look_after(act, moment, before, board)
    return board, len(acts)


def _read(morning: Morning, homes: Homes, text: InboundRow) -> None:
    """Read a text; a dose poured although the cut-off took it out is noted all the same."""
    for home in homes:
        for field in home.fields:
            number = late_number(home, field)
            if number is None or text.sender != home.number:
                continue
            if text.text == f"{field.letter}{number}":
                on = text.received_at.date()  # sent at noon, so the day is the same everywhere
                confirm_done(morning.desk(), field.planned.bundle.planting.id, number, on=on)
    mark_read(morning.session, morning.association_id, text.id, who=NAME, now=morning.now)


def _take(morning: Morning, homes: Homes, task: CallTaskRow) -> int:
    answer = _answer(morning, homes, task)
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


def _answer(morning: Morning, homes: Homes, task: CallTaskRow) -> Answer | None:
    """Return what comes of a call; None where the plot it was about is finished."""
    match task.kind:
        case TaskKind.SILENT | TaskKind.UNREAD if task.dose_id is not None:
            return _ask(morning, homes, task)
        case TaskKind.EMERGENCE:
            return _ask_emergence(morning, homes, task)
        case kind if kind in TOLD_KINDS:
            return Answer(said=Said.TOLD)
        case TaskKind.ENROL:
            return Answer(said=Said.NO_ANSWER)
        case _:
            return Answer(said=Said.SPOKEN)


def _ask(morning: Morning, homes: Homes, task: CallTaskRow) -> Answer | None:
    found = _field(homes, task)
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


def _ask_emergence(morning: Morning, homes: Homes, task: CallTaskRow) -> Answer | None:
    found = _field(homes, task)
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


def _visit(morning: Morning, field: Field) -> int:
    safe_on = safe_day(field, morning.today)
    ripe_on = max(safe_on or morning.today, field.planned.plan.first_harvest_on)
    if safe_on is None and any(dose.state is DoseState.PLANNED for dose in field.doses()):
        return 0
    if morning.today < add_days(ripe_on, VISIT_AFTER_DAYS):
        return 0
    confirm_harvest(morning.desk(), field.planned.bundle.planting.id, on=morning.today)
    return 1


def _field(homes: Homes, task: CallTaskRow) -> tuple[Home, Field] | None:
    for home in homes:
        for field in home.fields:
            if field.planned.bundle.planting.id == task.planting_id:
                return home, field
    return None
