"""Whether the peer is still there: when to ask for a sign of life, when to stop waiting. Pure."""

_UNANSWERED = 2  # questions, and the link is taken for dead


class Liveness:
    """A peer's silence; times are seconds of a monotonic clock."""

    def __init__(self, every_s: float, *, now: float) -> None:
        self._every_s = every_s
        self._heard_at = now
        self._asked = 0

    def heard(self, now: float) -> None:
        """Note that something came from the peer."""
        self._heard_at, self._asked = now, 0

    def due_s(self, now: float) -> float:
        """Return how long until the next question, or until the peer is taken for dead."""
        return self._every_s * (self._asked + 1) - (now - self._heard_at)

    def is_dead(self, now: float) -> bool:
        """Whether the peer has left two questions unanswered."""
        return self._asked >= _UNANSWERED and self.due_s(now) <= 0

    def ask(self, now: float) -> bool:
        """Return whether to ask now; the question counts as asked."""
        if self.due_s(now) > 0:
            return False
        self._asked += 1
        return True
