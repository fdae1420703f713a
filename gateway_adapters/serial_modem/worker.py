"""The one thread that works with a modem: opens it, sets it up, sends, reads, and opens it anew."""

import re
from dataclasses import dataclass
from secrets import SystemRandom
from threading import Lock, Thread
from time import monotonic

from gateway_adapters.events import Event
from gateway_adapters.serial_modem.arrivals import Arrivals
from gateway_adapters.serial_modem.backoff import Backoff
from gateway_adapters.serial_modem.codes import before_text
from gateway_adapters.serial_modem.desk import Desk
from gateway_adapters.serial_modem.faults import (
    DeviceGoneError,
    LinkError,
    ModemResetError,
    RefusedError,
    SilenceError,
    StoppingError,
    UnusableError,
    not_sent,
)
from gateway_adapters.serial_modem.inbox import Inbox
from gateway_adapters.serial_modem.ledger import Ledger
from gateway_adapters.serial_modem.link import Link
from gateway_adapters.serial_modem.port import Port
from gateway_adapters.serial_modem.sending import Sender
from gateway_adapters.serial_modem.set_up import look, set_up
from gateway_adapters.serial_modem.settings import ModemSettings
from gateway_adapters.serial_modem.sim_store import delete, read_all, read_one
from gateway_adapters.serial_modem.standing import Standing, Work

_STORED = re.compile(r'\+C(?:MTI|DSI): ?"[A-Z]{2}", ?([0-9]{1,4})')
_GOOD_S = 60.0  # a modem that held out this long is tried again soon
_JOIN_S = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """What a worker works with."""

    desk: Desk
    inbox: Inbox
    standing: Standing
    ledger: Ledger
    arrivals: Arrivals
    sender: Sender


class Worker:
    """Does what callers left on the desk, and puts what comes in into the inbox."""

    def __init__(self, settings: ModemSettings, parts: Parts) -> None:
        self._settings = settings
        self._desk, self._inbox = parts.desk, parts.inbox
        self._standing, self._ledger = parts.standing, parts.ledger
        self._arrivals, self._sender = parts.arrivals, parts.sender
        self._backoff = Backoff(
            first_s=settings.first_wait_s,
            longest_s=settings.longest_wait_s,
            draw=SystemRandom().random,
        )
        self._look_number = 0
        self._stuck: set[tuple[str, int]] = set()
        self._starting = Lock()
        self._thread: Thread | None = None
        self._link: Link | None = None

    def start(self) -> None:
        """Begin, unless begun before."""
        with self._starting:
            if self._thread is None:
                self._thread = Thread(target=self._run, name="serial-modem", daemon=True)
                self._thread.start()

    def end(self) -> None:
        """Wait for the thread, once the desk was closed; the device is given back."""
        with self._starting:
            link, thread = self._link, self._thread
        if link is not None:
            link.stop()
        if thread is not None:
            thread.join(_JOIN_S)

    def _run(self) -> None:
        try:
            while not self._desk.is_stopping:
                began = monotonic()
                self._look_number = self._desk.begin_check()
                self._stay()
                if monotonic() - began >= _GOOD_S:
                    self._backoff.reset()
                self._desk.end_check(self._look_number)
                self._desk.wait(until=monotonic() + self._backoff.next_s())
        finally:
            # Also where a defect of ours has ended the thread: nobody may wait for it in vain.
            self._down(LinkError("The modem's worker has stopped; restart the service."))
            self._desk.end_check(self._desk.begin_check())

    def _stay(self) -> None:
        """Work with the modem from its opening to its loss."""
        try:
            port = Port(self._settings.port, baud=self._settings.baud)
        except DeviceGoneError as error:
            self._down(error)
            return
        link = Link(port, on_news=self._desk.poke)
        with self._starting:
            self._link = link
        try:
            self._ledger.open()
            while not self._desk.is_stopping:
                self._prepare(link)
                self._serve(link)
        except StoppingError:
            return
        except LinkError as error:
            self._down(error)
        finally:
            with self._starting:
                self._link = None
            link.close()

    def _prepare(self, link: Link) -> None:
        self._look_number = self._desk.begin_check()
        set_up(link, self._settings, journal=self._ledger.journal, standing=self._standing)
        self._ledger.reset()
        self._poll(link)
        self._standing.up()
        self._desk.end_check(self._look_number)

    def _serve(self, link: Link) -> None:
        """Work until the modem must be set up anew."""
        poll_at = monotonic() + self._settings.poll_s
        try:
            while not self._desk.is_stopping:
                self._take_notices(link)
                self._delete(link)
                if self._sender.sim_is_full or self._desk.wants_check() or monotonic() >= poll_at:
                    poll_at = monotonic() + self._settings.poll_s
                    self._sender.sim_is_full = False
                    self._look(link)
                self._note_work(link)
                self._send_or_rest(link, poll_at)
        except (ModemResetError, SilenceError):
            return

    def _send_or_rest(self, link: Link, poll_at: float) -> None:
        turn = self._desk.head()
        if turn is not None and turn.not_before <= monotonic():
            self._put(self._sender.step(link, turn))
        else:
            until = poll_at if turn is None else min(poll_at, turn.not_before)
            self._desk.wait(until=until)

    def _look(self, link: Link) -> None:
        self._look_number = self._desk.begin_check()
        link.ask("AT", wait_s=self._settings.command_s)
        look(link, standing=self._standing, wait_s=self._settings.command_s)
        self._poll(link)
        self._desk.end_check(self._look_number)

    def _poll(self, link: Link) -> None:
        """Read the whole SIM: announcements get lost."""
        self._stuck.clear()
        found = [
            (event, place) for place, pdu in read_all(link) for event in self._arrivals.events(pdu)
        ]
        self._inbox.all_read(found)

    def _take_notices(self, link: Link) -> None:
        notices = link.notices()
        # What came with its PDU is nowhere else: it goes first, before the line can break.
        for notice in notices:
            if notice.pdu:
                self._put(self._arrivals.events(notice.pdu))
        for notice in notices:
            if found := _STORED.match(notice.text):
                place = int(found[1])
                pdu = read_one(link, place, wait_s=self._settings.command_s)
                if pdu is not None:
                    self._inbox.put((event, place) for event in self._arrivals.events(pdu))

    def _delete(self, link: Link) -> None:
        for event_id, place in self._inbox.to_delete():
            if (event_id, place) in self._stuck:
                continue
            if delete(link, place, wait_s=self._settings.command_s):
                self._inbox.deleted(event_id, place)
            else:
                self._stuck.add((event_id, place))

    def _put(self, events: list[Event]) -> None:
        self._inbox.put((event, None) for event in events)

    def _note_work(self, link: Link) -> None:
        self._standing.note_work(
            Work(
                is_kept=self._ledger.journal.is_writable,
                cap_reached=self._ledger.is_used_up(most=self._settings.daily_segments),
                lost=self._inbox.lost,
                noise=link.dropped,
            )
        )

    def _down(self, error: LinkError) -> None:
        match error:
            case UnusableError(rejected=rejected):
                trouble = rejected
            case RefusedError(refusal=refusal):
                trouble = before_text(refusal)
            case ModemResetError():
                trouble = not_sent("The modem keeps starting anew; look at its power supply.")
            case SilenceError():
                trouble = not_sent("The modem does not answer; unplug it and plug it in again.")
            case _:
                trouble = not_sent(str(error))
        self._standing.down(trouble)
        self._desk.abandon(trouble)
