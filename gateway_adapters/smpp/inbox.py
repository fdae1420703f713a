"""Events on their way to the service, and what each still owes the gateway.

An event that came in a deliver_sm is answered only once it is acknowledged or given back. Not
safe for threads by itself.
"""

from collections import deque
from dataclasses import dataclass
from typing import Protocol

from gateway_adapters.events import Event
from gateway_adapters.smpp.commands import Status

FULL = 1000  # events that nobody has acknowledged


class Asker(Protocol):
    """Whoever waits for the answer to a deliver_sm."""

    def answer(self, sequence: int, status: int) -> bool:
        """Answer; False if it cannot be any more, or was before."""
        ...


@dataclass(frozen=True, slots=True)
class Owed:
    """The answer that a deliver_sm still waits for."""

    asker: Asker
    sequence: int

    def give(self, status: int) -> bool:
        """Answer; False if it cannot be any more, or was before."""
        return self.asker.answer(self.sequence, status)


@dataclass(frozen=True, slots=True)
class _Item:
    event: Event
    owed: Owed | None


class Inbox:
    """What waits for `receive`, and what was taken and not acknowledged yet."""

    def __init__(self) -> None:
        self._ready: deque[_Item] = deque()
        self._taken: dict[str, list[_Item]] = {}

    @property
    def full(self) -> bool:
        """Whether the gateway has to keep what it has."""
        return len(self._ready) + len(self._taken) >= FULL

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to take."""
        return not self._ready

    def put(self, event: Event, owed: Owed | None) -> None:
        """Let an event wait to be taken."""
        self._ready.append(_Item(event, owed))

    def take(self, limit: int) -> list[Event]:
        """Return at most `limit` events; they are not given again unless given back."""
        events: list[Event] = []
        while self._ready and len(events) < limit:
            item = self._ready.popleft()
            self._taken.setdefault(item.event.event_id, []).append(item)
            events.append(item.event)
        return events

    def finish(self, event_id: str) -> bool:
        """Answer for what was taken under this id; True if the gateway knows it now."""
        items = self._taken.pop(event_id, [])
        answered = [item.owed is None or item.owed.give(Status.OK) for item in items]
        return bool(items) and all(answered)

    def give_back(self, event_id: str) -> None:
        """Let the gateway send it again; what it cannot send again is kept to be taken first."""
        items = self._taken.pop(event_id, [])
        self._ready.extendleft(
            item
            for item in reversed(items)
            if item.owed is None or not item.owed.give(Status.TRY_LATER)
        )

    def give_all_back(self) -> None:
        """Let the gateway send everything again, as before an end."""
        for item in [*self._ready, *(item for items in self._taken.values() for item in items)]:
            if item.owed is not None:
                item.owed.give(Status.TRY_LATER)
        self._ready.clear()
        self._taken.clear()
