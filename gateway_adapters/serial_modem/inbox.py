"""Events that wait to be taken, and those taken that wait to be acknowledged.

An event keeps the places on the SIM where it is stored; only once it is acknowledged may those be
deleted. The same event stored twice, or read twice, is one event.
"""

from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from threading import Condition
from time import monotonic

from gateway_adapters.events import Event

_MOST = 10_000  # events without a place on the SIM; a flood of reports must not fill the memory


@dataclass(slots=True)
class _Held:
    event: Event
    places: set[int] = field(default_factory=set)


class Inbox:
    """Thread-safe: the worker puts and deletes, callers take, acknowledge and give back."""

    def __init__(self) -> None:
        self.lost = 0
        self._changed = Condition()
        self._held: dict[str, _Held] = {}
        self._ready: deque[str] = deque()
        self._acked: dict[str, set[int]] = {}
        self._closed = False

    def put(self, arrivals: Iterable[tuple[Event, int | None]]) -> None:
        """Add events with their places on the SIM, all at once; None is no place."""
        with self._changed:
            for event, place in arrivals:
                self._put(event, place)
            self._changed.notify_all()

    def take(self, *, wait_s: float, limit: int) -> list[Event]:
        """Return at most `limit` events, waiting up to `wait_s` seconds for the first."""
        until = monotonic() + wait_s
        with self._changed:
            while not self._ready and not self._closed and (left_s := until - monotonic()) > 0:
                self._changed.wait(left_s)
            taken: list[Event] = []
            while self._ready and len(taken) < limit:
                taken.append(self._held[self._ready.popleft()].event)
            return taken

    def ack(self, event_id: str) -> bool:
        """Let an event never be taken again; return whether it still lies on the SIM."""
        with self._changed:
            held = self._held.pop(event_id, None)
            if held is None:
                return False
            if event_id in self._ready:
                self._ready.remove(event_id)
            if held.places:
                self._acked[event_id] = held.places
            return bool(held.places)

    def give_back(self, event_id: str) -> None:
        """Let a taken event be taken again, before all others."""
        with self._changed:
            if event_id in self._held and event_id not in self._ready:
                self._ready.appendleft(event_id)
                self._changed.notify_all()

    def to_delete(self) -> list[tuple[str, int]]:
        """Return the acknowledged events that still lie on the SIM, one entry a place."""
        with self._changed:
            return [
                (event_id, place) for event_id, places in self._acked.items() for place in places
            ]

    def deleted(self, event_id: str, place: int) -> None:
        """Note that a place on the SIM is free."""
        with self._changed:
            places = self._acked.get(event_id, set())
            places.discard(place)
            if not places:
                self._acked.pop(event_id, None)
            self._changed.notify_all()

    def wait_deleted(self, event_id: str, *, wait_s: float) -> None:
        """Return once an acknowledged event no longer lies on the SIM, or after `wait_s`."""
        with self._changed:
            self._changed.wait_for(lambda: event_id not in self._acked or self._closed, wait_s)

    def wait_all_deleted(self, *, wait_s: float) -> None:
        """Return once no acknowledged event lies on the SIM, or after `wait_s` seconds."""
        with self._changed:
            self._changed.wait_for(lambda: not self._acked or self._closed, max(0.0, wait_s))

    def all_read(self, found: Sequence[tuple[Event, int]]) -> None:
        """Take in everything that lies on the SIM now: places known before are as found here.

        After the modem was away another SIM may be in it, so an old place must not be deleted.
        """
        with self._changed:
            for held in self._held.values():
                held.places.clear()
            for places in self._acked.values():
                places.clear()
            for event, place in found:
                self._put(event, place)
            self._acked = {event_id: places for event_id, places in self._acked.items() if places}
            self._changed.notify_all()

    def close(self) -> None:
        """Let nobody wait any longer."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def _put(self, event: Event, place: int | None) -> None:
        places = set() if place is None else {place}
        if event.event_id in self._acked:
            self._acked[event.event_id] |= places
        elif (held := self._held.get(event.event_id)) is not None:
            held.places |= places
        elif place is None and len(self._held) >= _MOST:
            self.lost += 1
        else:
            self._held[event.event_id] = _Held(event=event, places=places)
            self._ready.append(event.event_id)
