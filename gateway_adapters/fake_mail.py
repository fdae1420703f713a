"""Events on the pretend network's way to us: known by their place, counted from 0.

What one looker has taken, others on the same network may take too; whoever acknowledges it first
ends it for all.
"""

import heapq
from collections import deque
from collections.abc import Sequence
from datetime import datetime

from gateway_adapters.events import Event


class Mail:
    """Every event there was, and which of them one looker has taken."""

    def __init__(self) -> None:
        self._events: list[Event | None] = []  # None once acknowledged
        self._ready: deque[int] = deque()
        self._late: list[tuple[datetime, int]] = []
        self._taken: dict[str, list[int]] = {}

    def expect(self, event: Event, due_at: datetime | None) -> None:
        """Add an event; it can be taken from `due_at` on, or at once."""
        place = len(self._events)
        self._events.append(event)
        if due_at is None:
            self._ready.append(place)
        else:
            heapq.heappush(self._late, (due_at, place))

    def take(self, now: datetime, limit: int) -> list[Event]:
        """Return at most `limit` events that are due, soonest first, and note them as taken."""
        while self._late and self._late[0][0] <= now:
            self._ready.append(heapq.heappop(self._late)[1])
        events: list[Event] = []
        while self._ready and len(events) < limit:
            place = self._ready.popleft()
            event = self._events[place]
            if event is not None:
                self._taken.setdefault(event.event_id, []).append(place)
                events.append(event)
        return events

    def taken(self, event_id: str) -> Sequence[int]:
        """Return the places of what was taken under this id, and not yet acknowledged."""
        return tuple(self._taken.get(event_id, ()))

    def give_back(self, event_id: str) -> None:
        """Let what was taken under this id be taken again, before all others."""
        self._ready.extendleft(reversed(self._taken.pop(event_id, [])))

    def forget(self, place: int) -> None:
        """Let an event never come again."""
        event, self._events[place] = self._events[place], None
        if event is None:
            return
        left = [taken for taken in self._taken.pop(event.event_id, []) if taken != place]
        if left:
            self._taken[event.event_id] = left

    def unread(self, now: datetime) -> int:
        """Return how many events are due and acknowledged by nobody."""
        later = {place for due_at, place in self._late if due_at > now}
        return sum(
            event is not None and place not in later for place, event in enumerate(self._events)
        )
