"""Where callers leave work for the modem's one worker, and wait for what comes of it."""

from collections import deque
from collections.abc import Sequence
from threading import Condition
from time import monotonic

from gateway_adapters.contract import Ambiguous, Outcome, Rejected
from gateway_adapters.serial_modem.faults import not_sent
from gateway_adapters.serial_modem.turns import Turn

_CLOSED = not_sent("The gateway was closed before the message's turn came.")
_TOO_LATE = not_sent("The deadline passed before the message's turn came.")


class Desk:
    """Thread-safe. A caller keeps its deadline whatever the worker does.

    At the deadline a text that has not left may no longer leave, and one that has is a doubt; the
    worker goes on with that one, and what it finds out later is news of its own.
    """

    def __init__(self) -> None:
        self._changed = Condition()
        self._turns: deque[Turn] = deque()
        self._is_closing = False
        self._is_stopping = False
        self._is_poked = False
        self._checks_wanted = 0
        self._checks_done = 0

    @property
    def is_stopping(self) -> bool:
        """Whether the worker is to end."""
        with self._changed:
            return self._is_stopping

    def serve(self, turns: Sequence[Turn], *, wait_s: float) -> None:
        """Queue the turns and return once each has an outcome, after `wait_s` seconds at most."""
        with self._changed:
            self._turns.extend(filter(_is_open, turns))
            if self._is_closing:
                self._refuse_waiting(_CLOSED)
            self._poke()
            self._changed.wait_for(lambda: not any(map(_is_open, turns)), wait_s)
            for turn in turns:
                self._give_up(turn, _TOO_LATE)

    def check(self, *, wait_s: float) -> bool:
        """Have the worker look at the modem now; return whether it did within `wait_s` seconds."""
        with self._changed:
            self._checks_wanted += 1
            wanted = self._checks_wanted
            self._poke()
            return self._changed.wait_for(
                lambda: self._checks_done >= wanted or self._is_stopping, wait_s
            )

    def poke(self) -> None:
        """Wake the worker: there is something to do."""
        with self._changed:
            self._poke()

    def shut(self, *, drain_s: float) -> None:
        """Take no more work; let the text that has left be answered, for `drain_s` at most."""
        with self._changed:
            self._is_closing = True
            self._refuse_waiting(_CLOSED)
            self._changed.wait_for(lambda: not any(map(_is_open, self._turns)), drain_s)

    def stop(self) -> None:
        """Let the worker end, and give every text that is left its outcome."""
        with self._changed:
            self._is_closing = self._is_stopping = True
            self._abandon(_CLOSED)
            self._poke()

    def head(self) -> Turn | None:
        """Return the text whose turn it is."""
        with self._changed:
            return self._turns[0] if self._turns else None

    def may_leave(self, turn: Turn) -> bool:
        """Mark a text as left; False where its caller was told that it had not left."""
        with self._changed:
            if turn.outcome is not None and not turn.has_left:
                return False
            turn.has_left = True
            return True

    def took_part(self, turn: Turn, gateway_id: str) -> None:
        """Note that the network took the next part of a text."""
        with self._changed:
            turn.gateway_ids.append(gateway_id)
            turn.tries = 0

    def settle(self, turn: Turn, outcome: Outcome) -> bool:
        """Give a text its outcome; False where its caller has gone with another one."""
        with self._changed:
            is_first = turn.outcome is None
            if is_first:
                turn.outcome = outcome
                self._changed.notify_all()
            return is_first

    def drop(self, turn: Turn) -> None:
        """Take a text out of the queue: nothing more can be done for it."""
        with self._changed:
            if turn in self._turns:
                self._turns.remove(turn)

    def refuse_waiting(self, rejected: Rejected) -> None:
        """Give every text that has not left this outcome."""
        with self._changed:
            self._refuse_waiting(rejected)

    def abandon(self, rejected: Rejected) -> None:
        """Give up all texts: those that have not left get this outcome, the others are a doubt."""
        with self._changed:
            self._abandon(rejected)

    def wants_check(self) -> bool:
        """Return whether somebody waits for a look at the modem."""
        with self._changed:
            return self._checks_done < self._checks_wanted

    def begin_check(self) -> int:
        """Return the number to end this look with; who asks later waits for another one."""
        with self._changed:
            return self._checks_wanted

    def end_check(self, number: int) -> None:
        """Say that the modem was looked at, or cannot be reached."""
        with self._changed:
            self._checks_done = number
            self._changed.notify_all()

    def wait(self, *, until: float) -> None:
        """Let the worker rest until it is poked, or the monotonic clock shows `until`."""
        with self._changed:
            self._changed.wait_for(
                lambda: self._is_poked or self._is_stopping, max(0.0, until - monotonic())
            )
            self._is_poked = False

    def _poke(self) -> None:
        self._is_poked = True
        self._changed.notify_all()

    def _refuse_waiting(self, rejected: Rejected) -> None:
        for turn in [turn for turn in self._turns if not turn.has_left]:
            self._give_up(turn, rejected)

    def _abandon(self, rejected: Rejected) -> None:
        for turn in list(self._turns):
            self._give_up(turn, rejected)
        self._turns.clear()

    def _give_up(self, turn: Turn, rejected: Rejected) -> None:
        if turn.outcome is not None:
            return
        if turn.has_left:
            turn.outcome = Ambiguous(reason="no-answer", gateway_ids=tuple(turn.gateway_ids))
        else:
            turn.outcome = rejected
            if turn in self._turns:
                self._turns.remove(turn)
        self._changed.notify_all()


def _is_open(turn: Turn) -> bool:
    return turn.outcome is None
