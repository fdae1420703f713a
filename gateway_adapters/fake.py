"""The fake gateway: a pretend network whose phones are in memory or in a folder.

It reaches no real phone and behaves the same each time. It does not notice a token sent twice:
the pretend phone then holds two texts, so a test can see a double send.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import ClassVar

from gateway_adapters.contract import (
    Capabilities,
    Clock,
    Encoding,
    Health,
    HealthState,
    Outcome,
    Outgoing,
    UssdAnswer,
    WebhookRequest,
    WebhookResult,
)
from gateway_adapters.errors import GatewayClosedError, GatewayConfigError
from gateway_adapters.events import Event, Inbound, Receipt, Screen
from gateway_adapters.fake_handsets import Handsets
from gateway_adapters.fake_journal import FakeText
from gateway_adapters.fake_network import FakeNetwork
from gateway_adapters.fake_refusals import not_sent, refusal_of
from gateway_adapters.fake_script import Step
from gateway_adapters.fake_settings import read_settings
from gateway_adapters.segments import MAX_PARTS

REACHES_PHONES = False

_CAPABILITIES = Capabilities(
    encodings=frozenset(Encoding),
    max_segments=MAX_PARTS,
    receipts=True,
    inbound_text=True,
    ussd=True,
    query=True,
    cancel=False,
    idempotent_submit=False,
    window=1000,
    rate_per_s=10_000.0,  # never what holds a test or the demo back
)
_NOT_WRITABLE = "The pretend network's folder cannot be written; check that it exists and has room."


class FakeGateway:
    """A gateway to pretend phones.

    Each submitted message uses up one entry of `script`; with none left it is accepted and
    delivered, and its receipt can be taken at once, perhaps by another process even before
    `submit` has returned.
    """

    reaches_phones: ClassVar[bool] = REACHES_PHONES

    def __init__(
        self, *, clock: Clock, folder: Path | None = None, numbers: tuple[str, ...] | None = None
    ) -> None:
        """Open the network in the folder, made if missing, or a new one in memory.

        With `numbers` a text to any other number is refused for good.

        Raises:
            GatewayConfigError: The folder cannot be made, or holds something else.
        """
        if folder is not None:
            try:
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            except OSError as error:
                raise GatewayConfigError(
                    f"{folder} cannot be made; give the fake gateway a folder it can write."
                ) from error
        self.script: list[Step] = []
        self._clock = clock
        self._numbers = None if numbers is None else frozenset(numbers)
        self._network = FakeNetwork(folder)
        self.handsets = Handsets(self._network)
        self._closed = False
        self._writable = True

    @property
    def capabilities(self) -> Capabilities:
        """What the fake can do."""
        return _CAPABILITIES

    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Return one outcome a message, in the same order.

        Raises:
            GatewayClosedError: The gateway was closed.
        """
        self._refuse_if_closed()
        return [self._submit_one(message, deadline=deadline) for message in batch]

    def receive(self, *, wait_s: float, limit: int) -> list[Event]:
        """Return at most `limit` events, waiting up to `wait_s` seconds for the first.

        An event comes again only after `nack`, or from another object on the same folder.

        Raises:
            GatewayClosedError: The gateway was closed.
        """
        self._refuse_if_closed()
        return self._network.take(self._clock, wait_s=wait_s, limit=limit)

    def ack(self, event: Event) -> None:
        """Let the event never come again. Once closed, or if it cannot be kept, it still will."""
        if not self._closed:
            try:
                self._network.finish(event.event_id)
            except OSError:
                self._writable = False

    def nack(self, event: Event) -> None:
        """Give the event back, to come again first."""
        self._network.give_back(event.event_id)

    def parse_webhook(self, request: WebhookRequest) -> WebhookResult:  # noqa: ARG002 -- the contract's
        """Refuse: nobody calls us on behalf of pretend phones."""
        return WebhookResult(status=404)

    def query(self, gateway_id: str, to: str) -> Receipt | None:
        """Return the truth about a text, or None if none with this id went to that number.

        Raises:
            GatewayClosedError: The gateway was closed.
        """
        self._refuse_if_closed()
        text = self._network.text_of(gateway_id, to)
        if text is None or text.state is None:
            return None
        return Receipt(
            event_id=f"{gateway_id}:{text.state}",
            gateway_id=gateway_id,
            to=to,
            state=text.state,
            at=text.at,
        )

    def answer_ussd(self, session: str, screen: Screen) -> UssdAnswer:
        """Show a screen on a pretend handset, once for each begin and input."""
        if self._closed:
            return UssdAnswer(gone=True)
        try:
            return UssdAnswer(gone=not self._network.show(session, screen))
        except OSError:
            self._writable = False
            return UssdAnswer(gone=True)

    def check(self, *, deadline: datetime) -> Health:  # noqa: ARG002 -- nothing here takes time
        """Return how the pretend network is."""
        return self.health()

    def health(self) -> Health:
        """Return up; down once closed; degraded while the folder cannot be written."""
        if self._closed:
            return Health(state=HealthState.DOWN, reason="The gateway was closed.")
        if not self._writable:
            return Health(state=HealthState.DEGRADED, reason=_NOT_WRITABLE)
        return Health(state=HealthState.UP)

    def close(self, *, drain_s: float) -> None:  # noqa: ARG002 -- nothing is ever outstanding here
        """Stop taking work; the pretend phones can still be looked at."""
        self._closed = True

    def texts(self, to: str | None = None) -> list[FakeText]:
        """Return what the phones hold, in order of arrival: all, or the one phone's."""
        return [text for text in self._network.texts() if text.on_phone and to in (None, text.to)]

    def talk(self, number: str) -> list[FakeText | Inbound]:
        """Return what one phone got and what it sent, in order."""
        return self._network.talk(number)

    def submitted(self) -> list[FakeText]:
        """Return each message that reached the network, also what it lost or refused."""
        return self._network.texts()

    def unread(self, now: datetime) -> int:
        """Return how many receipts, texts and steps of a menu are due and not yet acknowledged."""
        return self._network.unread(now)

    def answer(
        self, sender: str, text: str, *, to: str = "15050", event_id: str | None = None
    ) -> Inbound:
        """Send a text from a pretend phone; it becomes an event, also if the id was used before.

        Raises:
            OSError: The folder cannot be written.
        """
        now = self._clock()
        return self._network.say(
            lambda before: Inbound(
                event_id=f"in-{before + 1}" if event_id is None else event_id,
                sender=sender,
                to=to,
                text=text,
                received_at=now,
            )
        )

    def _submit_one(self, message: Outgoing, *, deadline: datetime) -> Outcome:
        now = self._clock()
        if now >= deadline:
            return not_sent("The deadline passed before the message's turn came.")
        if refusal := refusal_of(message, numbers=self._numbers, now=now):
            return refusal
        step = self.script.pop(0) if self.script else None
        try:
            effect = self._network.carry(message, step, now=now)
        except OSError:
            self._writable = False
            return not_sent(_NOT_WRITABLE)
        self._writable = True
        if effect.meanwhile is not None:
            effect.meanwhile()
        return effect.outcome

    def _refuse_if_closed(self) -> None:
        if self._closed:
            raise GatewayClosedError("The fake gateway was closed; open a new one.")


def open_fake(settings: Mapping[str, object], clock: Clock) -> FakeGateway:
    """Return a fake gateway by its settings, `folder` and `numbers`, both optional.

    Raises:
        GatewayConfigError: A setting is unknown or wrong; the sentences list all faults.
    """
    read = read_settings(settings)
    return FakeGateway(clock=clock, folder=read.folder, numbers=read.numbers)
