"""The pretend network: the phones, what they were sent, and the events on their way to us.

In memory, or shared through a journal by all processes that are given the same folder.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from threading import Condition

from gateway_adapters.contract import Clock, Outgoing
from gateway_adapters.events import (
    Event,
    Inbound,
    Screen,
    UssdBegin,
    UssdEnd,
    UssdEvent,
    UssdInput,
)
from gateway_adapters.fake_dialling import Dialling, Diallings
from gateway_adapters.fake_journal import (
    Acked,
    Carried,
    FakeText,
    Journal,
    Keyed,
    Record,
    Said,
    Screened,
    carried_text,
)
from gateway_adapters.fake_mail import Mail
from gateway_adapters.fake_script import Effect, Pending, Step, effect_of

_LOOK_EVERY_S = 0.1  # how soon a waiting process notices what another one wrote


class FakeNetwork:
    """One pretend network; what is on its way to us is in its mail."""

    def __init__(self, folder: Path | None) -> None:
        self._journal = None if folder is None else Journal(folder / "journal.jsonl")
        self._changed = Condition()
        self._texts: list[FakeText] = []
        self._talk: list[FakeText | Inbound] = []
        self._by_id: dict[tuple[str, str], FakeText] = {}
        self._times_sent: Counter[str] = Counter()
        self._inbound = 0
        self._diallings = Diallings()
        self._mail = Mail()
        self._read()

    def texts(self) -> list[FakeText]:
        """Return every message that reached the network, in order, lost ones too."""
        with self._changed:
            self._read()
            return list(self._texts)

    def talk(self, number: str) -> list[FakeText | Inbound]:
        """Return what one phone got and what it sent, in order."""
        with self._changed:
            self._read()
            return [part for part in self._talk if _is_of(part, number)]

    def text_of(self, gateway_id: str, to: str) -> FakeText | None:
        """Return the message to `to` with this id."""
        with self._changed:
            self._read()
            return self._by_id.get((gateway_id, to))

    def carry(self, message: Outgoing, step: Step | None, *, now: datetime) -> Effect:
        """Record that the message reached the network, and return what the step makes of it.

        Nothing keeps the same token from being sent twice: the phone then has two texts, and
        the second has an id of its own.

        Raises:
            OSError: The journal cannot be written, and nothing was recorded.
        """
        with self._writing() as write:
            before = self._times_sent[message.token]
            gateway_id = f"fake-{message.token}" + (f"-{before + 1}" if before else "")
            effect = effect_of(step, gateway_id=gateway_id, to=message.to, now=now)
            events = effect.receipts if message.want_receipt else ()
            write(Carried(text=carried_text(message, effect, gateway_id, now), events=events))
        return effect

    def say(self, make: Callable[[int], Inbound]) -> Inbound:
        """Record and return a text from a phone; `make` is told how many there were before.

        Raises:
            OSError: The journal cannot be written, and nothing was recorded.
        """
        with self._writing() as write:
            inbound = make(self._inbound)
            write(Said(events=(Pending(event=inbound),)))
        return inbound

    def take(self, clock: Clock, *, wait_s: float, limit: int) -> list[Event]:
        """Return the events that are due, soonest first, waiting up to `wait_s` for the first.

        What was taken is not given again by this object unless it is given back.
        """
        left_s = wait_s
        with self._changed:
            self._read()
            while not (events := self._mail.take(clock(), limit)) and left_s > 0:
                self._changed.wait(min(left_s, _LOOK_EVERY_S))
                left_s -= _LOOK_EVERY_S
                self._read()
            return events

    def unread(self, now: datetime) -> int:
        """Return how many events are due and acknowledged by nobody."""
        with self._changed:
            self._read()
            return self._mail.unread(now)

    def key(self, make: Callable[[int], tuple[UssdEvent, ...]]) -> tuple[UssdEvent, ...]:
        """Record what a handset did; `make` is told how many such events there were before.

        Raises:
            OSError: The journal cannot be written, and nothing was recorded.
        """
        with self._writing() as write:
            events = make(self._diallings.events)
            write(Keyed(events=tuple(Pending(event=event) for event in events)))
        return events

    def show(self, session: str, screen: Screen) -> bool:
        """Show a screen on the handset of a session; False where it waits for none.

        Raises:
            OSError: The journal cannot be written, and nothing was shown.
        """
        with self._writing() as write:
            waits = self._diallings.takes_a_screen(session)
            if waits:
                write(Screened(session=session, text=screen.text, finish=screen.finish))
        return waits

    def dialling(self, phone: str) -> Dialling | None:
        """Return the last session of a handset."""
        with self._changed:
            self._read()
            return self._diallings.of_phone(phone)

    def finish(self, event_id: str) -> None:
        """Acknowledge what was taken under this id; copies not yet taken still come.

        Raises:
            OSError: The journal cannot be written, and the event stays taken.
        """
        with self._changed:
            if self._mail.taken(event_id):
                with self._writing() as write:
                    write(Acked(places=tuple(self._mail.taken(event_id))))

    def give_back(self, event_id: str) -> None:
        """Let what was taken under this id be taken again, before all others."""
        with self._changed:
            self._mail.give_back(event_id)
            self._changed.notify_all()

    @contextmanager
    def _writing(self) -> Iterator[Callable[[Record], None]]:
        journal = self._journal
        with self._changed:
            if journal is None:
                yield self._apply
            else:
                with journal.locked() as descriptor:
                    self._read()
                    yield lambda record: journal.append(record, descriptor=descriptor)
                    self._read()
            self._changed.notify_all()

    def _read(self) -> None:
        if self._journal is not None:
            for record in self._journal.read():
                self._apply(record)

    def _apply(self, record: Record) -> None:
        match record:
            case Carried(text=text, events=events):
                self._texts.append(text)
                self._talk.append(text)
                self._times_sent[text.token] += 1
                self._by_id.update({(own_id, text.to): text for own_id in text.gateway_ids})
                self._expect(events)
            case Said(events=events):
                self._inbound += 1
                self._talk += [said.event for said in events if isinstance(said.event, Inbound)]
                self._expect(events)
            case Keyed(events=events):
                for keyed in events:
                    if isinstance(keyed.event, UssdBegin | UssdInput | UssdEnd):
                        self._diallings.keyed(keyed.event)
                self._expect(events)
            case Screened(session=session, text=text, finish=finish):
                self._diallings.shown(session, Screen(text=text, finish=finish))
            case Acked(places=places):
                for place in places:
                    self._mail.forget(place)

    def _expect(self, pending: tuple[Pending, ...]) -> None:
        for item in pending:
            self._mail.expect(item.event, item.due_at)


def _is_of(part: FakeText | Inbound, number: str) -> bool:
    if isinstance(part, Inbound):
        return part.sender == number
    return part.on_phone and part.to == number
