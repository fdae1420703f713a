"""Watches the machine's clock: while it is in doubt, nothing is sent and the time stands still.

`look` is asked at each step. What it finds stands until the next look, and between two looks
`clock` sees a jump by itself, so that no step goes on in a wrong time.
"""

from datetime import datetime
from logging import getLogger
from threading import Lock

from service.clock import Clock
from service.dispatch.doubt import Confirmation, Doubt
from service.outbox.clock_judge import Turn, turn_of, was_set, worth_keeping
from service.records.clock_watch import (
    ClockWatchRow,
    Sayer,
    clock_watch,
    doubt_clock,
    end_doubt,
    first_trust,
    note_clock,
    raise_trusted,
    trust_clock,
)
from service.records.engine import Session, Sessions

log = getLogger("furrowbell.clock")

DOUBTED, RIGHT_AGAIN, CONFIRMED = "clock doubted", "clock right again", "clock confirmed"


class ClockWatch:
    """The watch of one process; what the clock was last trusted at is shared by all."""

    def __init__(self, sessions: Sessions, machine: Clock) -> None:
        """Take a first look, so that the clock can be asked from then on."""
        self._sessions = sessions
        self._machine = machine
        self._lock = Lock()
        self._fresh = True
        self._trusted_at = machine()
        self._held: Turn | None = None
        self._shown_at = self._trusted_at
        self.look()

    def clock(self) -> datetime:
        """Return the service's time: the machine's, or the last trusted instant while in doubt."""
        return self._time_at(self._machine())

    def doubt(self) -> Doubt | None:
        """Return what is doubtful about the clock now, None where nothing is."""
        return self._doubt_at(self._machine())

    def look(self) -> Doubt | None:
        """Judge the clock by what is stored, write down what is new, and return the doubt if any.

        Must not be called within a transaction.
        """
        with self._lock:
            now = self._machine()
            row = self._stored(now)
            self._trusted_at = row.trusted_at
            turn = self._turn(row, now)
            if turn is Turn.STEADY:
                self._go_on(row, now)
            else:
                self._hold(row, turn, now)
            self._fresh, self._shown_at = False, now
            return self._doubt_at(now)

    def confirm(self, session: Session, shown_at: datetime, *, sayer: Sayer) -> Confirmation:
        """Trust the clock because an administrator says so, who was shown `shown_at`.

        A clock that has moved since is another one, and is not trusted. Takes effect at the next
        look.
        """
        now = self._machine()
        doubt = self._doubt_at(now)
        row = clock_watch(session)
        if doubt is None or row is None:
            return Confirmation.NOT_NEEDED
        if turn_of(shown_at, now) is not Turn.STEADY:
            return Confirmation.MOVED
        note_clock(session, CONFIRMED, _detail(row.trusted_at, now), at=now, sayer=sayer)
        trust_clock(session, now)
        return Confirmation.TRUSTED

    def _time_at(self, now: datetime) -> datetime:
        doubt = self._doubt_at(now)
        return now if doubt is None else doubt.trusted_at

    def _doubt_at(self, now: datetime) -> Doubt | None:
        trusted_at = self._trusted_at
        turn = self._held or turn_of(trusted_at, now)
        if turn is Turn.STEADY:
            return None
        return Doubt(turn=turn, trusted_at=trusted_at, shown_at=now)

    def _stored(self, now: datetime) -> ClockWatchRow:
        with self._sessions.read() as session:
            row = clock_watch(session)
        if row is not None:
            return row
        with self._sessions.begin() as session:
            first_trust(session, now)
            row = clock_watch(session)
        if row is None:
            raise LookupError("an instant that was just kept is not there")
        return row

    def _turn(self, row: ClockWatchRow, now: datetime) -> Turn:
        turn = turn_of(row.trusted_at, now)
        ran_on = self._held is Turn.BACK and not was_set(self._shown_at, now)
        if turn is Turn.STEADY and ran_on and row.doubted_at is not None:
            return Turn.BACK
        return turn

    def _go_on(self, row: ClockWatchRow, now: datetime) -> None:
        mine = self._fresh or self._held is not None  # another process may doubt its own clock
        keep = worth_keeping(row.trusted_at, now)
        if keep or (mine and row.doubted_at is not None):
            with self._sessions.begin() as session:
                if mine and end_doubt(session):
                    note_clock(session, RIGHT_AGAIN, _detail(row.trusted_at, now), at=now)
                    log.warning("the clock is right again: sending goes on")
                if keep:
                    raise_trusted(session, now)
        if keep:
            self._trusted_at = now
        self._held = None

    def _hold(self, row: ClockWatchRow, turn: Turn, now: datetime) -> None:
        if row.doubted_at is None:
            with self._sessions.begin() as session:
                if doubt_clock(session, now):
                    detail = _detail(row.trusted_at, now)
                    note_clock(session, DOUBTED, detail, at=row.trusted_at)
                    log.warning("the clock is in doubt: all sending is held", extra=detail)
        self._held = turn


def doubt_of(watch: ClockWatch | None) -> Doubt | None:
    """Return what is doubtful about the clock; where nobody watches it, nothing is."""
    return None if watch is None else watch.doubt()


def look_at(watch: ClockWatch | None) -> Doubt | None:
    """Take a look at the clock where it is watched, and return the doubt if any."""
    return None if watch is None else watch.look()


def _detail(trusted_at: datetime, shown_at: datetime) -> dict[str, object]:
    return {"trusted_at": trusted_at.isoformat(), "shown_at": shown_at.isoformat()}
