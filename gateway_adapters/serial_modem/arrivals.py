"""Makes events of what the network hands on: texts, and reports on texts of our own."""

import hashlib

from gateway_adapters.contract import Clock
from gateway_adapters.errors import MalformedPduError
from gateway_adapters.events import Event, Inbound, LateAnswer, Receipt
from gateway_adapters.serial_modem.codes import state_of_status
from gateway_adapters.serial_modem.incoming_pdu import Deliver, StatusReport, read_pdu
from gateway_adapters.serial_modem.ledger import Ledger

_DIGEST = 24  # hex digits: two different PDUs never share them in practice
_UNREADABLE = "unreadable"


class Arrivals:
    """Reads PDUs. Only the worker's thread may use it."""

    def __init__(self, ledger: Ledger, clock: Clock, *, own_number: str) -> None:
        self._ledger = ledger
        self._clock = clock
        self._own_number = own_number

    def events(self, pdu: str) -> list[Event]:
        """Return what a PDU in hex tells; nothing for one that is neither text nor report.

        An id is made of the PDU alone, whose time stamp tells two equal texts apart: so it is the
        same after a restart, and when the network hands the same text on twice.
        """
        digest = hashlib.sha256(pdu.upper().encode()).hexdigest()[:_DIGEST]
        try:
            read = read_pdu(pdu)
        except MalformedPduError:
            return [self._unreadable(pdu, digest)]
        match read:
            case Deliver():
                return [self._inbound(read, digest)]
            case StatusReport():
                return self._report(read, digest)
            case _:
                return []

    def late_answer(self, turn_id: str, token: str) -> list[Event]:
        """Return the news that a text given up as a doubt was taken, if all of it was."""
        gateway_ids = self._ledger.whole(turn_id)
        if not gateway_ids:
            return []
        return [LateAnswer(event_id=f"late-{turn_id}", token=token, gateway_ids=gateway_ids)]

    def _inbound(self, read: Deliver, digest: str) -> Inbound:
        return Inbound(
            event_id=f"in-{digest}",
            sender=read.sender,
            to=self._own_number,
            text=read.data.text,
            received_at=self._clock(),
            lossy=read.data.lossy,
            part=read.data.part,
        )

    def _unreadable(self, pdu: str, digest: str) -> Inbound:
        """Show the octets: a person may still make something of them."""
        return Inbound(
            event_id=f"in-{digest}",
            sender=_UNREADABLE,
            to=self._own_number,
            text=pdu.upper(),
            received_at=self._clock(),
            lossy=True,
        )

    def _report(self, report: StatusReport, digest: str) -> list[Event]:
        state = state_of_status(report.status)
        found = self._ledger.match(report, digest=digest)
        events: list[Event] = []
        if found is None:
            gateway_id, to = f"unmatched-{report.reference}-{digest}", report.to
        else:
            left, is_first_sign = found
            gateway_id, to = left.id, left.to
            if is_first_sign:
                events = self.late_answer(left.turn, left.token)
            self._ledger.ended(left.id, state, digest=digest)
        receipt = Receipt(
            event_id=f"{gateway_id}:{digest}",
            gateway_id=gateway_id,
            to=to,
            state=state,
            at=report.done_at or report.sent_at or self._clock(),
            code=f"{report.status:02X}",
        )
        return [*events, receipt]
