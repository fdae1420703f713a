"""Events that wait for `receive`: late answers. In memory, each until it is acknowledged."""

from collections import deque
from threading import Condition

from gateway_adapters.events import Event

MOST_WAITING = 10_000  # ours: with nobody to take them, the oldest go


class LateEvents:
    """A queue whose events come again when they are given back."""

    def __init__(self) -> None:
        self._news = Condition()
        self._waiting: deque[Event] = deque(maxlen=MOST_WAITING)
        self._taken: dict[str, Event] = {}

    def put(self, event: Event) -> None:
        """Add an event."""
        with self._news:
            self._waiting.append(event)
            self._news.notify_all()

    def take(self, *, wait_s: float, limit: int) -> list[Event]:
        """Return at most `limit` events, waiting up to `wait_s` seconds for the first."""
        with self._news:
            self._news.wait_for(lambda: len(self._waiting) > 0, wait_s)
            events = [self._waiting.popleft() for _ in range(min(limit, len(self._waiting)))]
            self._taken.update((event.event_id, event) for event in events)
            return events

    def finish(self, event: Event) -> None:
        """Let a taken event never come again."""
        with self._news:
            self._taken.pop(event.event_id, None)

    def give_back(self, event: Event) -> None:
        """Let a taken event come again, first."""
        with self._news:
            if self._taken.pop(event.event_id, None) is not None:
                self._waiting.appendleft(event)
                self._news.notify_all()
