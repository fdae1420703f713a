"""What the planner made of all that became known, counted whenever its plans are looked at.

All is kept as audit rows about a `plan`: a season that was cut off goes on counting where it was,
and does no act of the coordinator twice.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from service.agronomy.changes import LEAST_LITRES, ChangeKind, changes
from service.agronomy.containers import DoseKey
from service.demo.acts import Act
from service.demo.plan_news import News, news_of
from service.demo.plan_notes import Note, note_of, plan_of, read, written
from service.planning.allotting import Planned
from service.planning.board import Board
from service.planning.refresh import is_stale
from service.records.audit_list import audit_about
from service.records.engine import Session
from service.records.people import AuditRow
from service.records.tasks import audit

SUBJECT, LOOK, WHO = "plan", "look", "demo"
PLACES = {  # of a tally, after the times
    ChangeKind.MOVED: 1,
    ChangeKind.DROPPED: 2,
    ChangeKind.GONE: 2,
    ChangeKind.BACK: 3,
    ChangeKind.ADDED: 3,
    ChangeKind.LITRES: 4,
}
"""Where a kind of change stands in a tally: how often, moved, dropped, back, other litres."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """An instant of an association's season."""

    session: Session
    association_id: int
    now: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """What a look or an act adds to the audit; `stale` are plantings not planned by their facts."""

    what: str
    tally: dict[str, list[int]]
    place: int = 0
    stale: tuple[int, ...] = ()


class PlanLog:
    """The plans as they were last seen, and what was done and looked at by then."""

    def __init__(self, session: Session, association_id: int) -> None:
        """Read what the audit holds."""
        self._notes: dict[int, Note] = {}
        self._looked: set[datetime] = set()
        self._done: set[int] = set()
        for row in audit_about(session, association_id, subject=SUBJECT):
            self._notes |= {int(key): read(kept) for key, kept in row.detail["notes"].items()}
            if row.what == LOOK:
                self._looked.add(row.at)
            else:
                self._done.add(row.subject_id)

    def has_done(self, act: Act) -> bool:
        """Say whether an act of the coordinator was done."""
        return act.place in self._done

    def look_once(self, moment: Moment, board: Board) -> None:
        """Note what has changed since the last look, and by which news.

        Only the first look at an instant counts: it came before anything was done then.
        """
        if moment.now in self._looked:
            return
        tally: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0, 0, 0])
        for planned, before in self._known(board):
            news = news_of(planned, before)
            for each in news:
                tally[each.value][0] += 1
            _count(tally, planned, before, why=(news or [News.SILENCE])[0].value)
        self._looked.add(moment.now)
        self._write(moment, board, _Row(what=LOOK, tally=tally, stale=_stale(board)))

    def look_after(self, act: Act, moment: Moment, before: Board, board: Board) -> None:
        """Note what an act of the coordinator has changed, in the plans and in what cans give."""
        why = act.kind.value
        tally: dict[str, list[int]] = {why: [1, 0, 0, 0, 0]}
        changed: set[DoseKey] = set()
        for planned, note in self._known(board):
            changed |= _count(tally, planned, note, why=why)
        tally[why][PLACES[ChangeKind.LITRES]] += len(_given_other(before, board) - changed)
        self._done.add(act.place)
        self._write(moment, board, _Row(what=why, place=act.place, tally=tally))

    def _known(self, board: Board) -> Iterable[tuple[Planned, Note]]:
        for planned in board.plantings:
            before = self._notes.get(planned.bundle.planting.id)
            if before is not None:
                yield planned, before

    def _write(self, moment: Moment, board: Board, row: _Row) -> None:
        notes = {planned.bundle.planting.id: note_of(planned) for planned in board.plantings}
        fresh = {key: note for key, note in notes.items() if self._notes.get(key) != note}
        self._notes |= fresh
        entry = AuditRow(
            at=moment.now,
            who=WHO,
            what=row.what,
            subject=SUBJECT,
            subject_id=row.place,
            origin=WHO,
            detail={
                "tally": dict(row.tally),
                "notes": {str(key): written(note) for key, note in fresh.items()},
                "stale": list(row.stale),
            },
        )
        audit(moment.session, moment.association_id, entry)


def tallies(session: Session, association_id: int) -> dict[str, list[int]]:
    """Return, by news or act, how often it came and how many doses changed in which way."""
    found: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0, 0, 0])
    for row in audit_about(session, association_id, subject=SUBJECT):
        for why, counts in row.detail["tally"].items():
            found[why] = [so_far + more for so_far, more in zip(found[why], counts, strict=True)]
    return dict(found)


def stale_plans(session: Session, association_id: int) -> list[tuple[datetime, int]]:
    """Return when a planting's stored doses were not what its facts make them."""
    rows = audit_about(session, association_id, subject=SUBJECT)
    return [(row.at, planting_id) for row in rows for planting_id in row.detail["stale"]]


def _count(
    tally: dict[str, list[int]], planned: Planned, before: Note, *, why: str
) -> set[DoseKey]:
    given = {dose.number for dose in planned.plan.doses if dose.given_on is not None}
    found = set()
    for change in changes(plan_of(before, planned.plan), planned.plan):
        if change.number not in given:  # the day a dose was given is the grower's doing
            tally[why][PLACES[change.kind]] += 1
            found.add((planned.bundle.planting.id, change.number))
    return found


def _given_other(before: Board, after: Board) -> set[DoseKey]:
    """Return the doses that the cans give another amount."""
    was = {
        key: got.litres for stock in before.stock.values() for key, got in stock.allotted.items()
    }
    return {
        key
        for stock in after.stock.values()
        for key, got in stock.allotted.items()
        if key in was and abs(got.litres - was[key]) >= LEAST_LITRES
    }


def _stale(board: Board) -> tuple[int, ...]:
    return tuple(
        planned.bundle.planting.id
        for planned in board.plantings
        if is_stale(planned, board.stock[planned.bundle.household.id], today=board.today)
    )
