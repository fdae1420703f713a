"""An adapter as a third party may write it: texts lie as files in a folder that others share."""

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path

from gateway_adapters import contract as c
from gateway_adapters import events as e
from gateway_adapters.errors import GatewayClosedError, GatewayConfigError

REACHES_PHONES = False
ABLE = c.Capabilities(encodings=frozenset(c.Encoding), max_segments=255, receipts=True,
    inbound_text=True, ussd=False, query=False, cancel=False, idempotent_submit=True, window=100,
    rate_per_s=1000)  # fmt: skip


class SpoolGateway:
    """Writes `out/<token>.json`; reads `in/*.json`, which stay until acknowledged."""

    capabilities = ABLE

    def __init__(self, folder: Path, clock: c.Clock) -> None:
        self._folder, self._clock, self._closed = folder, clock, False
        self._given: set[str] = set()
        for name in ("out", "in"):
            (folder / name).mkdir(parents=True, exist_ok=True)

    def submit(self, batch: Sequence[c.Outgoing], *, deadline: datetime) -> list[c.Outcome]:
        """Write each text once; the same token again is the same file."""
        self._refuse_if_closed()
        return [self._submit(item, late=self._clock() >= deadline) for item in batch]

    def _submit(self, item: c.Outgoing, *, late: bool) -> c.Outcome:
        if late:
            return c.Rejected(kind=c.RejectKind.TRANSIENT, scope=c.Scope.ROUTE, code="not-sent")
        if item.valid_until <= self._clock():
            return c.Rejected(kind=c.RejectKind.PERMANENT, code="validity-over")
        if len(item.segments.parts) > ABLE.max_segments:
            return c.Rejected(kind=c.RejectKind.PERMANENT, code="too-many-parts")
        file = self._folder / "out" / f"{item.token}.json"
        file.write_text(json.dumps({"to": item.to, "text": item.text}), encoding="utf-8")
        receipt = {"id": item.token, "to": item.to}
        (self._folder / "in" / f"r-{item.token}.json").write_text(json.dumps(receipt))
        return c.Accepted(gateway_ids=(item.token,))

    def receive(self, *, wait_s: float, limit: int) -> list[e.Event]:  # noqa: ARG002 -- files are there or not
        """Give each file once; after a restart, or given back, again."""
        self._refuse_if_closed()
        files = sorted((self._folder / "in").glob("*.json"))
        fresh = [file for file in files if file.stem not in self._given][:limit]
        self._given.update(file.stem for file in fresh)
        return [self._event(file.stem, json.loads(file.read_text())) for file in fresh]

    def _event(self, name: str, said: Mapping[str, str]) -> e.Event:
        if "id" in said:
            return e.Receipt(event_id=name, gateway_id=said["id"], to=said["to"], at=self._clock(),
                state=e.ReceiptState.DELIVERED)  # fmt: skip
        return e.Inbound(event_id=name, sender=said["from"], to=said["to"], text=said["text"],
            received_at=self._clock())  # fmt: skip

    def ack(self, event: e.Event) -> None:
        """Remove the file."""
        if not self._closed:
            (self._folder / "in" / f"{event.event_id}.json").unlink(missing_ok=True)

    def nack(self, event: e.Event) -> None:
        """Let the file be given again."""
        self._given.discard(event.event_id)

    def parse_webhook(self, request: c.WebhookRequest) -> c.WebhookResult:  # noqa: ARG002 -- nobody calls
        """Refuse."""
        return c.WebhookResult(status=404)

    def query(self, gateway_id: str, to: str) -> e.Receipt | None:  # noqa: ARG002 -- a file tells nothing
        """Say that it cannot say."""
        return None

    def answer_ussd(self, session: str, screen: e.Screen) -> c.UssdAnswer:  # noqa: ARG002 -- no menu
        """Show nothing."""
        return c.UssdAnswer(gone=True)

    def check(self, *, deadline: datetime) -> c.Health:  # noqa: ARG002 -- a look takes no time
        """Look whether the folder is there."""
        return self.health()

    def health(self) -> c.Health:
        """Say whether the folder is there."""
        up = not self._closed and self._folder.is_dir()
        return c.Health(state=c.HealthState.UP if up else c.HealthState.DOWN)

    def close(self, *, drain_s: float) -> None:  # noqa: ARG002 -- nothing is ever on its way
        """Take no more work."""
        self._closed = True

    def _refuse_if_closed(self) -> None:
        if self._closed:
            raise GatewayClosedError("The spool was closed.")


def open_spool(settings: Mapping[str, object], clock: c.Clock) -> SpoolGateway:
    """Return the spool in `folder`."""
    if not isinstance(settings.get("folder"), str):
        raise GatewayConfigError("folder must name the folder of the spool.")
    return SpoolGateway(Path(str(settings["folder"])), clock)
