"""One planning step: windows closed, the next evenings' texts queued, calls opened.

May run any number of times, also twice at once: nothing doubles.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from service.agronomy.calendar import add_days
from service.agronomy.season import plan_season
from service.messages.catalogue import Catalogue
from service.outbox.claim import expire_overdue, lapse_leases
from service.outbox.enqueue import Draft, base_key, cancel, enqueue
from service.outbox.lookups import (
    evenings_used,
    keys_left,
    queued_started,
    told_of_doses,
    unknown_messages,
)
from service.planning.calls import tasks_now
from service.planning.cans import cans_by_household
from service.planning.drafts import draft_of, fits_with, invitation
from service.planning.gather import Board, Planned, phone_facts, phones_by_household
from service.planning.planner import PlannedText, jobs_of, plan_evening
from service.planning.refresh import refresh_planting
from service.planning.season_facts import season_facts
from service.planning.send_window import evening, local_day, local_time, zone_of
from service.records.engine import Session
from service.records.fields import DoseState
from service.records.inbox import reading_list
from service.records.people import AssociationRow
from service.records.phones import PhoneBundle, phones
from service.records.plantings import association, open_plantings
from service.records.tasks import Task, open_task, task_keys
from service.records.traffic import MessageRow, TaskKind

NOTICE_KINDS = ("emerge_q", "ready", "harvest_ok", "consent")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What planning needs besides the rows: the texts, and the route that carries them."""

    catalogue: Catalogue
    route_id: int


def roll(session: Session, association_id: int, *, now: datetime) -> None:
    """Close the windows that have passed, and plan what has no doses yet."""
    row = association(session, association_id)
    today = local_day(now, zone_of(row.zone))
    cans = cans_by_household(session, row, today=today)
    for bundle in open_plantings(session, association_id):
        stale = not bundle.doses or any(
            dose.state is DoseState.PLANNED and dose.closes_on < today for dose in bundle.doses
        )
        if stale:
            refresh_planting(
                session,
                association_id,
                bundle.planting.id,
                cans=cans.get(bundle.household.id, ()),
                today=today,
                now=now,
            )


def board_now(session: Session, association_id: int, *, now: datetime) -> Board:
    """Return the whole association as it stands today."""
    row = association(session, association_id)
    today = local_day(now, zone_of(row.zone))
    waiting: dict[int, str] = defaultdict(str)
    paused: set[int] = set()
    for text in reading_list(session, association_id):
        if text.phone_id is not None:
            waiting[text.phone_id] += text.plots
            if text.pauses:
                paused.add(text.phone_id)
    known = tuple(phones(session, association_id))
    return Board(
        today=today,
        phones=known,
        texted_on=phones_by_household(known),
        plantings=tuple(
            Planned(bundle=bundle, plan=plan_season(season_facts(bundle)))
            for bundle in open_plantings(session, association_id)
        ),
        cans=cans_by_household(session, row, today=today),
        told=told_of_doses(session, association_id),
        used=frozenset(evenings_used(session, association_id, since=today)),
        waiting=waiting,
        paused=frozenset(paused),
    )


def plan_association(session: Session, association_id: int, *, tools: Tools, now: datetime) -> None:
    """Bring the queue and the call list in line with what is known now."""
    lapse_leases(session, association_id, now=now)
    expire_overdue(session, association_id, now=now)
    roll(session, association_id, now=now)
    board = board_now(session, association_id, now=now)
    row = association(session, association_id)
    said = keys_left(session, association_id, NOTICE_KINDS)
    wanted = {}
    tasks: list[Task] = []
    for phone in board.phones:
        for text in _texts(board, row, phone, tools, said=said, now=now):
            wanted[text.key] = draft_of(text, phone, row, tools.route_id, now=now)
            tasks += _no_room(text)
    queued = {
        base_key(message.dedupe_key): message for message in queued_started(session, association_id)
    }
    stale = [message.id for key, message in queued.items() if key not in wanted]
    cancel(session, association_id, stale, now=now, why="no longer right")
    fresh = [draft for key, draft in wanted.items() if not _says(queued.get(key), draft)]
    for draft in sorted(fresh, key=lambda item: (item.due_at, item.dedupe_key)):
        enqueue(session, association_id, draft, now=now)
    tasks += tasks_now(board, local_time(now, zone_of(row.zone)))
    tasks += [
        Task(kind=TaskKind.UNKNOWN, key=str(message.id), phone_id=message.phone_id)
        for message in unknown_messages(session, association_id)
    ]
    known = task_keys(session, association_id)
    for task in tasks:
        if f"{task.kind.value}:{task.key}" not in known:
            open_task(session, association_id, task, now=now)


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
        text = plan_evening(
            facts, day, said=frozenset(spoken), fits=fits_with(tools.catalogue, phone, row.language)
        )
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
