"""The demo's phones behind an SMPP message centre of another make, on this machine alone.

The centre is a program of its own: settings and acts go in as JSON lines, what it sees comes out as
JSON lines. Its log, and nothing of ours, says what reached the phones.
"""

import json
import subprocess  # nosec B404 -- starts the one program that deploy/demo names
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from threading import Condition, Thread

from gateway_adapters import gsm7
from service.bootstrap import Services
from service.demo.parts import Piece, joined
from service.dispatch.dispatcher import Lane
from service.errors import RefusedError
from service.records.season_report import (
    all_messages,
    claimed_at,
    on_their_way,
    parts_of_texts,
    texts_taken,
)

START_S, SETTLE_S, END_S, WAIT_S = 20.0, 60.0, 5.0, 0.2
_UCS2 = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class CentreText:
    """A text as the centre has it."""

    token: str
    text: str
    at: datetime


class Centre:
    """A running message centre."""

    def __init__(self, command: Sequence[str]) -> None:
        """Start it.

        Raises:
            RefusedError: `gateway`, where it does not start.
        """
        try:
            self._process = subprocess.Popen(  # noqa: S603  # nosec B603 -- the command comes from deploy/demo
                command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
            )
        except OSError as error:
            raise RefusedError(
                "gateway",
                "The message centre cannot be started; use ./deploy/demo, which sets it up.",
            ) from error
        self._log: list[Mapping[str, object]] = []
        self._news = Condition()
        self._ended = False
        self._reader = Thread(target=self._read, daemon=True)
        self._reader.start()
        if not self._wait(lambda: bool(self._heard("listening")), START_S):
            self.close()
            raise RefusedError(
                "gateway",
                "The message centre does not listen; use ./deploy/demo, which sets it up.",
            )
        self.port = int(str(self._heard("listening")[0]["port"]))

    def say(self, number: str, text: str, *, to: str) -> None:
        """Let a phone send a text; the centre keeps it until we have taken it."""
        packed = gsm7.is_gsm7(text)
        octets = gsm7.encode(text) if packed else text.encode("utf-16-be")
        act = {
            "act": "mo",
            "from": number.lstrip("+"),
            "to": to,
            "hex": octets.hex(),
            "coding": 0 if packed else _UCS2,
        }
        before = len(self._heard("ok"))
        if self._process.stdin is None:
            raise RefusedError("gateway", "The message centre has ended.")
        self._process.stdin.write(json.dumps(act) + "\n")
        self._process.stdin.flush()
        self._wait(lambda: len(self._heard("ok")) > before, START_S)

    def submits(self) -> list[Mapping[str, object]]:
        """Return every submit that the centre took, in order."""
        return self._heard("submit")

    def close(self) -> None:
        """End it."""
        if self._process.stdin is not None:
            self._process.stdin.close()
        try:
            self._process.wait(END_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait(END_S)
        self._reader.join(END_S)
        if self._process.stdout is not None:
            self._process.stdout.close()

    def _heard(self, event: str) -> list[Mapping[str, object]]:
        with self._news:
            return [item for item in self._log if item.get("event") == event]

    def _wait(self, met: Callable[[], bool], wait_s: float) -> bool:
        with self._news:
            self._news.wait_for(lambda: met() or self._ended, wait_s)
        return met()

    def _read(self) -> None:
        if self._process.stdout is None:
            return
        for line in self._process.stdout:
            item: object = json.loads(line)
            with self._news:
                if isinstance(item, dict):
                    self._log.append(item)
                self._news.notify_all()
        with self._news:
            self._ended = True
            self._news.notify_all()


class CentrePhones:
    """The phones behind the centre, as the demo asks for them."""

    def __init__(self, centre: Centre, services: Services, lane: Lane) -> None:
        self._centre = centre
        self._services = services
        self._lane = lane
        self._said = 0

    def answer(self, sender: str, text: str, *, to: str, event_id: str | None = None) -> object:  # noqa: ARG002 -- the centre gives ids of its own
        """Send a text from a phone."""
        self._said += 1
        self._centre.say(sender, text, to=to)
        return None

    def settle(self) -> None:
        """Take in, without planning, until the centre has nothing more for us.

        The fake's phones are silent at once; a real line takes a moment, in which the demo's clock
        stands still.

        Raises:
            RefusedError: `gateway`, where the centre and we do not come to rest.
        """
        receiver = self._services.receiver(self._lane)
        for _ in range(int(SETTLE_S / WAIT_S)):
            if self._is_at_rest():
                return
            receiver.run_once(wait_s=WAIT_S)
        raise RefusedError("gateway", "The message centre did not come to rest.")

    def _is_at_rest(self) -> bool:
        tenant = self._lane.association_id
        with self._services.sessions.read() as session:
            return texts_taken(session, tenant) >= self._said and on_their_way(session, tenant) == 0

    def texts(self) -> Sequence[CentreText]:
        """Return what the phones hold."""
        return self.submitted()

    def submitted(self) -> Sequence[CentreText]:
        """Return everything that reached the centre, long texts joined."""
        tokens, claimed = self._records()
        return [
            CentreText(
                token=tokens.get(whole.ids[-1], ""),
                text=whole.text,
                at=claimed.get(whole.ids[-1], self._services.clock()),
            )
            for whole in joined(Piece.of(item) for item in self._centre.submits())
        ]

    def _records(self) -> tuple[dict[str, str], dict[str, datetime]]:
        tenant = self._lane.association_id
        with self._services.sessions.read() as session:
            claimed, parts = claimed_at(session, tenant), parts_of_texts(session, tenant)
            tokens: dict[str, str] = {}
            at: dict[str, datetime] = {}
            for row in all_messages(session, tenant):
                for gateway_id in (row.gateway_id, *parts.get(row.id, ())):
                    if gateway_id is not None and row.token is not None:
                        tokens[gateway_id] = row.token
                        at[gateway_id] = claimed.get(row.id, row.changed_at)
        return tokens, at
