"""Whom to call, and why: the tasks that should stand by now. Pure but for the rows it reads."""

from collections.abc import Sequence
from datetime import time

from service.agronomy.calendar import add_days, days_between
from service.outbox.lookups import NOTHING_TOLD
from service.planning.allotting import Planned
from service.planning.board import Board, dose_cans, is_transplanted
from service.planning.collect_notices import short_lack
from service.planning.crop_notices import emergence_key
from service.planning.season_facts import site_is_open
from service.records.fields import DoseRow, DoseState
from service.records.tasks import Task
from service.records.traffic import TaskKind

MORNING = time(6)
SILENT_AFTER_DAYS = 2  # the morning after the repeat's evening
SILENT_UNTIL_DAYS = 9
EMERGENCE_AFTER_DAYS = 6  # the morning before the dose of E + 7
EMERGENCE_UNTIL_DAYS = 20


def tasks_now(board: Board, clock: time) -> list[Task]:
    """Return every task that today's facts ask for; the caller opens those not opened before."""
    found: list[Task] = []
    for planned in board.plantings:
        for dose in planned.bundle.doses:
            task = _dose_task(board, planned, dose, clock)
            if task is not None:
                found.append(task)
        found += _planting_tasks(board, planned, clock)
    for plantings in board.growing.values():
        found += _short_tasks(board, plantings, clock)
    return found


def _planting_tasks(board: Board, planned: Planned, clock: time) -> list[Task]:
    question = _emergence_task(board, planned, clock)
    found = [] if question is None else [question]
    if clock >= MORNING and not site_is_open(planned.bundle.plot):
        found.append(
            Task(
                kind=TaskKind.SITE,
                key=f"{planned.bundle.planting.id}:{planned.bundle.plot.hazards}",
                household_id=planned.bundle.household.id,
                planting_id=planned.bundle.planting.id,
            )
        )
    return found


def _short_tasks(board: Board, plantings: Sequence[Planned], clock: time) -> list[Task]:
    lack = short_lack(board, plantings)
    if lack is None or clock < MORNING or board.today < lack.warn_on:
        return []
    household_id = plantings[0].bundle.household.id
    return [
        Task(
            kind=TaskKind.SHORT,
            key=f"{household_id}:{lack.season}",
            household_id=household_id,
            planting_id=lack.planting_id,
        )
    ]


def _dose_task(board: Board, planned: Planned, dose: DoseRow, clock: time) -> Task | None:
    kind = _dose_kind(board, planned, dose, clock)
    if kind is None:
        return None
    return Task(
        kind=kind,
        key=f"{dose.id}:{dose.due_on.isoformat()}",
        household_id=planned.bundle.household.id,
        dose_id=dose.id,
        planting_id=planned.bundle.planting.id,
    )


def _dose_kind(board: Board, planned: Planned, dose: DoseRow, clock: time) -> TaskKind | None:
    if dose.state not in (DoseState.PLANNED, DoseState.NOT_KNOWN):
        return None
    days_past = days_between(dose.due_on, board.today)
    told = board.told.get(dose.id, NOTHING_TOLD)
    if dose.state is DoseState.PLANNED and not dose_cans(board, planned, dose):
        return TaskKind.NOT_READY if days_past >= -1 and dose.closes_on >= board.today else None
    if planned.bundle.plot.letter is None or not _texted(board, planned):
        return TaskKind.BY_CALL if -1 <= days_past <= 0 and clock >= MORNING else None
    if SILENT_AFTER_DAYS <= days_past <= SILENT_UNTIL_DAYS and clock >= MORNING and told.texts > 0:
        return _silent_kind(board, planned)
    if (
        0 <= days_past < SILENT_AFTER_DAYS
        and dose.due_on not in told.days
        and _was_known(planned, dose)
    ):
        return TaskKind.NOT_TOLD
    return None


def _silent_kind(board: Board, planned: Planned) -> TaskKind:
    phone = board.phone_of(planned.bundle.household.id)
    waiting = "" if phone is None else board.waiting.get(phone.phone.id, "")
    letter = planned.bundle.plot.letter
    return TaskKind.UNREAD if letter is not None and letter in waiting else TaskKind.SILENT


def _texted(board: Board, planned: Planned) -> bool:
    household = planned.bundle.household
    return not household.needs_call and board.phone_of(household.id) is not None


def _was_known(planned: Planned, dose: DoseRow) -> bool:
    # an enrolment in mid-season does not open a call for every day before it
    return add_days(planned.bundle.planting.recorded_at.date(), -1) <= dose.due_on


def _emergence_task(board: Board, planned: Planned, clock: time) -> Task | None:
    if not planned.plan.emergence_assumed or is_transplanted(planned) or clock < MORNING:
        return None
    past = days_between(planned.plan.emergence_on, board.today)
    if not EMERGENCE_AFTER_DAYS <= past <= EMERGENCE_UNTIL_DAYS:
        return None
    return Task(
        kind=TaskKind.EMERGENCE,
        key=emergence_key(planned),
        household_id=planned.bundle.household.id,
        planting_id=planned.bundle.planting.id,
    )
