"""How fast to send, and how long to wait before connecting again. Pure: times and dice come in.

The figures are common practice, no source.
"""

from collections.abc import Callable

Roll = Callable[[], float]  # a number from 0 on, below 1
_LONGEST_WAIT_S = 60.0
_QUIET_S = 10.0
_SLOWEST = 0.1  # of the nominal rate, so that some texts always leave


class Pace:
    """Lets sends through at a rate; slows down when the gateway is full, and recovers.

    A refusal halves the rate and stops everything for `wait_s`, doubling to 60 s while refusals
    go on, with jitter; each ten quiet seconds give back a tenth of the nominal rate.
    """

    def __init__(self, rate_per_s: float, *, wait_s: float, roll: Roll, now: float) -> None:
        self._nominal = rate_per_s
        self._wait_s = wait_s
        self._roll = roll
        self._rate = rate_per_s
        self._room = self._most
        self._at = now
        self._refusals = 0
        self._held_until = now
        self._eased_at = now

    def wait_s(self, now: float) -> float:
        """Return how long until the next send may leave; 0 for at once."""
        self._run(now)
        return max(self.held_s(now), (1 - self._room) / self._rate)

    def held_s(self, now: float) -> float:
        """Return how much is left of the pause after a refusal; 0 if there is none."""
        return max(self._held_until - now, 0.0)

    def spend(self) -> None:
        """One is leaving."""
        self._room -= 1

    def slow_down(self, now: float) -> float:
        """Take a refusal for fullness in; return how long the pause is, in seconds."""
        self._run(now)
        if now >= self._held_until:  # those already under way are no news
            longest = min(self._wait_s * (1 << self._refusals), _LONGEST_WAIT_S)
            self._refusals = min(self._refusals + 1, 16)
            self._held_until = now + longest * (1 + self._roll()) / 2
            self._rate = max(self._rate / 2, self._nominal * _SLOWEST)
        self._eased_at = max(now, self._held_until)
        return self.held_s(now)

    def went_well(self, now: float) -> None:
        """Take in that one was taken: after a pause, the next pause is the shortest again."""
        if now >= self._held_until:
            self._refusals = 0

    @property
    def slowed(self) -> bool:
        """Whether the rate is below the nominal one."""
        return self._rate < self._nominal

    @property
    def _most(self) -> float:
        return max(1.0, self._nominal / 10)

    def _run(self, now: float) -> None:
        self._room = min(self._room + (now - self._at) * self._rate, self._most)
        self._at = now
        while self.slowed and now - self._eased_at >= _QUIET_S:
            self._eased_at += _QUIET_S
            self._rate = min(self._rate + self._nominal / 10, self._nominal)


class Backoff:
    """How long to wait before connecting again: doubling to 60 s, full jitter."""

    def __init__(self, first_s: float, *, roll: Roll) -> None:
        self._first_s = first_s
        self._roll = roll
        self._failures = 0

    def next_s(self) -> float:
        """Return the next wait, in seconds."""
        longest = min(self._first_s * (1 << self._failures), _LONGEST_WAIT_S)
        self._failures = min(self._failures + 1, 16)
        return longest * self._roll()

    def went_well(self) -> None:
        """Start again from the shortest wait."""
        self._failures = 0
