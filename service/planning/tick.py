"""One planning step for some households: windows closed, texts queued, calls opened.

May run any number of times, also twice at once: nothing doubles.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from service.agronomy.calendar import add_days
from service.messages.catalogue import Catalogue
from service.outbox.enqueue import Draft, base_key, cancel, enqueue
from service.outbox.lookups import (
    keys_left,
    queued_started,
    unknown_messages,
)
from service.planning.board import Board
from service.planning.board_now import board_on, roll
from service.planning.calls import tasks_now
from service.planning.corrections import (
    CORRECTION_KINDS,
    corrections,
    night_tasks,
    wrong_doses,
)
from service.planning.drafts import draft_of, fits_with, invitation
from service.planning.gather import phone_facts
from service.planning.planner import PlannedText, jobs_of, plan_evening
from service.planning.send_window import evening, local_time, zone_of
from service.records.engine import Session
from service.records.people import AssociationRow
from service.records.phones import PhoneBundle
from service.records.plantings import association
from service.records.tasks import Task, known_task_keys, open_task
from service.records.traffic import MessageRow, TaskKind

NOTICE_KINDS = (
    "consent",
    "emerge_q",
    "ready",
    "no_can",
    "collect",
    "seal_by",
    "too_late",
    "short",
    "season_opens",
    "to_neat",
    "to_water",
    "burn_on",
    "harvest_ok",
    "season_result",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What planning needs besides the rows: the texts, and the route for a number."""

    catalogue: Catalogue
    route_of: Callable[[str], int]


def plan_households(
    session: Session,
    association_id: int,
    households: Collection[int],
    *,
    tools: Tools,
    now: datetime,
) -> None:
    """Bring the queue and the call list in line with what is known now of some households.

    Where a phone serves several, all of them have to be among these.
    """
    ground = roll(session, association_id, households, now=now)
    board = board_on(session, association_id, ground, households, now=now)
    row = association(session, association_id)
    phone_ids = [phone.phone.id for phone in board.phones]
    said = keys_left(session, association_id, NOTICE_KINDS + CORRECTION_KINDS, phones=phone_ids)
    wanted = {}
    tasks: list[Task] = []
    for phone in board.phones:
        put_right, calls = _corrections(board, row, phone, said=said, now=now)
        tasks += calls
        for text in (*put_right, *_texts(board, row, phone, tools, said=said, now=now)):
            wanted[text.key] = draft_of(
                text, phone, row, tools.route_of(phone.phone.number), now=now
            )
            tasks += _no_room(text)
    queued = {
        base_key(message.dedupe_key): message
        for message in queued_started(session, association_id, phones=phone_ids)
    }
    stale = [message.id for key, message in queued.items() if key not in wanted]
    cancel(session, association_id, stale, now=now, why="no longer right")
    fresh = [draft for key, draft in wanted.items() if not _says(queued.get(key), draft)]
    for draft in sorted(fresh, key=lambda item: (item.due_at, item.dedupe_key)):
        enqueue(session, association_id, draft, now=now)
    tasks += tasks_now(board, local_time(now, zone_of(row.zone)))
    _open(session, association_id, tasks, now=now)


def call_about_unknown(session: Session, association_id: int, *, now: datetime) -> None:
    """Ask a person about each text of which nobody knows whether it was sent."""
    tasks = [
        Task(kind=TaskKind.UNKNOWN, key=str(message.id), phone_id=message.phone_id)
        for message in unknown_messages(session, association_id)
    ]
    _open(session, association_id, tasks, now=now)


def _open(session: Session, association_id: int, tasks: Iterable[Task], *, now: datetime) -> None:
    by_key = {f"{task.kind.value}:{task.key}": task for task in tasks}
    known = known_task_keys(session, association_id, by_key)
    for key, task in by_key.items():
        if key not in known:
            open_task(session, association_id, task, now=now)


def _corrections(
    board: Board, row: AssociationRow, phone: PhoneBundle, *, said: set[str], now: datetime
) -> tuple[list[PlannedText], list[Task]]:
    zone = zone_of(row.zone)
    served = {home.id for home in phone.households if board.phone_of(home.id) is phone}
    own = board.growing_of(served)
    wrong = wrong_doses(board, own, zone)
    texts = corrections(phone.phone.id, wrong, said=said, now=now, zone=zone)
    return texts, night_tasks(wrong, now=now, zone=zone)


def _texts(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    board: Board,
    row: AssociationRow,
    phone: PhoneBundle,
    tools: Tools,
    *,
    said: set[str],
    now: datetime,
) -> list[PlannedText]:
    if phone.phone.id in board.paused:
        return []
    facts = phone_facts(board, phone)
    invited = invitation(phone, row, now=now, used=board.used, said=said)
    if invited is not None and (facts is None or not jobs_of(facts, invited.evening)):
        return [invited]  # else it waits for a day without a dose to speak of
    if facts is None:
        return []
    found: list[PlannedText] = []
    spoken = set(said)
    for day in (board.today, add_days(board.today, 1)):
        if evening(day, 0, zone_of(row.zone)).closes_at <= now:
            continue
        fits = fits_with(tools.catalogue, phone, row.language, day=add_days(day, 1))
        text = plan_evening(facts, day, said=frozenset(spoken), fits=fits)
        if text is not None:
            found.append(text)
            spoken.add(text.key)
    return found


def _says(message: MessageRow | None, draft: Draft) -> bool:
    return message is not None and (message.language, message.fields) == (
        draft.language,
        dict(draft.fields),
    )


def _no_room(text: PlannedText) -> list[Task]:
    return [
        Task(
            kind=TaskKind.NO_ROOM,
            key=f"{job.dose_id}:{job.due_on.isoformat()}",
            household_id=job.household_id,
            dose_id=job.dose_id,
            planting_id=job.planting_id,
        )
        for job in text.no_room
    ]
