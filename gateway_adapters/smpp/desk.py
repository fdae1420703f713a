"""Outgoing texts: what waits, what has left without an answer, and what came of each.

1. Of a long text the first piece goes alone: if it is refused, nothing of the text has left.
2. What may have left is never sent again.
3. No more than the window is without an answer, and nothing goes faster than the pace.

Pure: no socket; times, in seconds of a monotonic clock, come in. Not safe for threads by itself.
"""

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from gateway_adapters.contract import Outcome, Rejected, RejectKind, Scope
from gateway_adapters.smpp.codec import Pdu
from gateway_adapters.smpp.codes import NACKED, Verdict, code_of, verdict_of
from gateway_adapters.smpp.commands import Command, Status
from gateway_adapters.smpp.jobs import Call, Job, Piece, PieceState
from gateway_adapters.smpp.pace import Pace

MOST_TRIES = 3  # of a piece whose text is partly taken
_LEAST_VALIDITY_S = 1.0  # the wire counts whole seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class DeskRules:
    """What the desk is told: the window, how long to wait in seconds, the route's own statuses."""

    window: int
    answer_s: float
    late_s: float
    statuses: dict[int, Verdict]


@dataclass(frozen=True, slots=True, kw_only=True)
class DeskNews:
    """Whom the desk tells: of pieces taken or lost, and of calls that are done."""

    taken: Callable[[Piece], None]
    lost: Callable[[Piece], None]
    done: Callable[[], None]


@dataclass(slots=True, eq=False)
class _Flight:
    piece: Piece
    until: float


class Desk:
    """The outgoing side of a route."""

    def __init__(self, rules: DeskRules, *, pace: Pace, news: DeskNews) -> None:
        self.pace = pace
        self.must_rebind = False
        self.strays = 0  # answers to nothing that is known
        self._rules = rules
        self._news = news
        self._waiting: deque[Piece] = deque()
        self._flying: dict[int, _Flight] = {}
        self._late: dict[int, _Flight] = {}

    def enqueue(self, jobs: Iterable[Job]) -> None:
        """Take texts to send."""
        self._waiting.extend(job.pieces[0] for job in jobs)

    def take(self, now: float) -> Piece | None:
        """Return the piece that may leave now, or None; it is to be said where it flies."""
        while self._waiting and len(self._flying) < self._rules.window:
            if self.pace.wait_s(now) > 0:
                return None
            piece = self._waiting.popleft()
            if piece.job.outcome is not None:
                continue
            if piece.job.expires_at - now >= _LEAST_VALIDITY_S:
                self.pace.spend()
                return piece
            self._keep(piece, _rejected("validity-over", "The message's validity is over."))
        return None

    def flies(self, sequence: int, piece: Piece, now: float) -> None:
        """Note that a piece was handed to the connection under this number."""
        piece.state = PieceState.FLYING
        self._flying[sequence] = _Flight(piece=piece, until=now + self._rules.answer_s)

    def withdraw(self, sequence: int) -> None:
        """Take back a piece of which no octet has left; it waits again, before all others."""
        flight = self._flying.pop(sequence, None)
        if flight is not None and flight.piece.state is PieceState.FLYING:
            flight.piece.state = PieceState.WAITING
            self._waiting.appendleft(flight.piece)

    def overdue_s(self, now: float) -> float:
        """Return how long until the oldest answer is overdue; there has to be one to wait for."""
        return max(next(iter(self._flying.values())).until - now, 0.0)

    @property
    def has_room(self) -> bool:
        """Whether something waits that the window has room for."""
        return bool(self._waiting) and len(self._flying) < self._rules.window

    def tick(self, now: float) -> None:
        """Give up the answers that are overdue, and later on the waiting for late ones."""
        while (first := _first(self._flying)) and first[0].until <= now:
            self._give_up(next(iter(self._flying)), now)
        while (late := _first(self._late)) and late[0].until <= now:
            del self._late[next(iter(self._late))]

    def answered(self, pdu: Pdu, now: float) -> None:
        """Take in an answer to a submit: a submit_sm_resp, or a generic_nack."""
        flight = self._flying.pop(pdu.sequence, None)
        if flight is None:
            self._answered_late(pdu)
            return
        piece = flight.piece
        if pdu.command == Command.SUBMIT_SM_RESP and pdu.status == Status.OK:
            if pdu.unreadable:
                self._lose(piece, "unreadable-answer")
            else:
                self.pace.went_well(now)
                self._taken(piece, pdu.message_id or "")
            return
        nacked = pdu.command == Command.GENERIC_NACK
        verdict = NACKED if nacked else verdict_of(pdu.status, self._rules.statuses)
        self.must_rebind = self.must_rebind or verdict.rebind
        pause_s = self.pace.slow_down(now) if verdict.kind is RejectKind.THROTTLED else None
        self._refused(piece, verdict, code=code_of(pdu.status), pause_s=pause_s)

    def identify(self, piece: Piece, gateway_id: str) -> None:
        """Note that a lost piece was taken after all."""
        piece.state = PieceState.TAKEN
        piece.gateway_id = gateway_id
        self._news.taken(piece)

    def broke(self) -> None:
        """Note that the connection is gone: what flew is lost."""
        flying, self._flying = self._flying, {}
        self._late.clear()  # a new connection counts from 1 again
        self.must_rebind = False
        for flight in flying.values():
            self._lose(flight.piece, "link-lost")

    def give_up(self, call: Call, now: float, unsent: Rejected) -> None:
        """Settle all texts of a call: what has not left gets `unsent`, what has is in doubt."""
        for sequence in [s for s, f in self._flying.items() if f.piece.job.call is call]:
            self._give_up(sequence, now)
        self.drop_waiting(unsent, call=call)

    def drop_waiting(self, unsent: Rejected, *, call: Call | None = None) -> None:
        """Keep what waits from leaving, of one call or of all."""
        dropped = [p for p in self._waiting if call is None or p.job.call is call]
        self._waiting = deque(
            p for p in self._waiting if call is not None and p.job.call is not call
        )
        for piece in dropped:
            self._keep(piece, unsent)

    def flies_to(self, destination: str) -> bool:
        """Return whether a text to this address is without an answer."""
        return any(f.piece.job.destination.digits == destination for f in self._flying.values())

    @property
    def flying(self) -> int:
        """How many pieces are without an answer."""
        return len(self._flying)

    def _give_up(self, sequence: int, now: float) -> None:
        flight = self._flying.pop(sequence)
        self._late[sequence] = _Flight(piece=flight.piece, until=now + self._rules.late_s)
        self._lose(flight.piece, "no-answer")

    def _taken(self, piece: Piece, gateway_id: str) -> None:
        piece.state = PieceState.TAKEN
        piece.gateway_id = gateway_id
        job = piece.job
        if piece.is_first and job.outcome is None:
            self._waiting.extendleft(reversed(job.pieces[1:]))
        self._news.taken(piece)
        self._settle(job, job.sum_up())

    def _refused(self, piece: Piece, verdict: Verdict, *, code: str, pause_s: float | None) -> None:
        if not piece.is_first and piece.tries < MOST_TRIES and piece.job.outcome is None:
            piece.tries += 1
            piece.state = PieceState.WAITING
            self._waiting.appendleft(piece)
            return
        piece.state = PieceState.REFUSED
        refusal = Rejected(
            kind=verdict.kind,
            scope=verdict.scope,
            code=code,
            detail=verdict.detail,
            retry_after_s=pause_s,
        )
        self._settle(piece.job, refusal if piece.is_first else piece.job.sum_up())

    def _lose(self, piece: Piece, doubt: str) -> None:
        piece.state = PieceState.LOST
        job = piece.job
        job.doubt = doubt
        if piece.is_first:
            for other in job.pieces[1:]:
                other.state = PieceState.KEPT
        self._news.lost(piece)
        self._settle(job, job.sum_up())

    def _keep(self, piece: Piece, unsent: Rejected) -> None:
        piece.state = PieceState.KEPT
        self._settle(piece.job, piece.job.sum_up() if piece.job.touched else unsent)

    def _answered_late(self, pdu: Pdu) -> None:
        flight = self._late.pop(pdu.sequence, None)
        if flight is None:
            self.strays += 1
        elif (
            flight.piece.state is PieceState.LOST
            and pdu.command == Command.SUBMIT_SM_RESP
            and pdu.status == Status.OK
            and not pdu.unreadable
        ):
            self.identify(flight.piece, pdu.message_id or "")

    def _settle(self, job: Job, outcome: Outcome | None) -> None:
        if outcome is None or job.outcome is not None:
            return
        job.outcome = outcome
        job.call.unsettled -= 1
        if not job.call.unsettled:
            self._news.done()


def _first(flights: dict[int, _Flight]) -> list[_Flight]:
    return [next(iter(flights.values()))] if flights else []


def _rejected(code: str, detail: str) -> Rejected:
    return Rejected(kind=RejectKind.PERMANENT, scope=Scope.MESSAGE, code=code, detail=detail)
