"""Sends one part after the other, and says what is known of each (3GPP TS 27.005, 3.5.1).

Up to the octet that lets a text go nothing has left. From there on, until the modem has answered,
everything is a doubt, and a doubt is never sent again.
"""

import re
from time import monotonic

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, RejectKind, Scope
from gateway_adapters.events import Event
from gateway_adapters.serial_modem.arrivals import Arrivals
from gateway_adapters.serial_modem.codes import after_text, before_text
from gateway_adapters.serial_modem.desk import Desk
from gateway_adapters.serial_modem.faults import (
    DeviceGoneError,
    LinkError,
    ModemResetError,
    RefusedError,
    SilenceError,
    not_sent,
)
from gateway_adapters.serial_modem.ledger import Ledger
from gateway_adapters.serial_modem.link import Link
from gateway_adapters.serial_modem.settings import ModemSettings
from gateway_adapters.serial_modem.submit_pdu import hex_line
from gateway_adapters.serial_modem.turns import Turn, next_tpdu, validity_over

_TAKEN = re.compile(r"\+CMGS: ?([0-9]{1,3})")
_MOST_TRIES = 3
_REASONS: dict[type[LinkError], str] = {
    SilenceError: "no-answer",
    ModemResetError: "modem-reset",
    DeviceGoneError: "modem-gone",
}


class Sender:
    """Sends parts. Only the worker's thread may use it."""

    def __init__(
        self, settings: ModemSettings, *, desk: Desk, ledger: Ledger, arrivals: Arrivals
    ) -> None:
        self.sim_is_full = False
        self._settings = settings
        self._desk = desk
        self._ledger = ledger
        self._arrivals = arrivals

    def step(self, link: Link, turn: Turn) -> list[Event]:
        """Send the next part of a text, and return what that brings to light.

        Raises:
            LinkError: the modem must be set up, or opened, anew; the text has its outcome, or
                will be gone on with.
        """
        tpdu = next_tpdu(turn, now=monotonic())
        if tpdu is None:
            self._refused(turn, validity_over())
        elif self._has_room(turn) and self._prompted(link, turn, tpdu):
            return self._let_go(link, turn)
        return []

    def _has_room(self, turn: Turn) -> bool:
        if turn.gateway_ids:
            return True  # half a text helps nobody
        wait_s = self._ledger.wait_for_room(turn.total, most=self._settings.daily_segments)
        if wait_s is not None:
            self._end(
                turn,
                Rejected(
                    kind=RejectKind.TRANSIENT,
                    scope=Scope.ROUTE,
                    code="daily-cap",
                    detail="The day's amount of texts has left.",
                    retry_after_s=wait_s,
                ),
            )
        return wait_s is None

    def _prompted(self, link: Link, turn: Turn, tpdu: bytes) -> bool:
        """Bring the modem to hold the part, without letting it go."""
        try:
            link.offer(f"AT+CMGS={len(tpdu)}", info="+CMGS:", wait_s=self._settings.prompt_s)
            link.type_text(hex_line(tpdu))
        except RefusedError as error:
            self.sim_is_full |= error.refusal.of_full_sim
            self._refused(turn, before_text(error.refusal))
            if error.refusal.of_reset:
                raise ModemResetError from error
            return False
        except LinkError as error:
            self._refused(turn, not_sent("The modem did not ask for the text."))
            if not isinstance(error, DeviceGoneError):
                link.escape()
            raise
        if self._desk.may_leave(turn):
            return True
        link.escape()
        self._desk.drop(turn)
        return False

    def _let_go(self, link: Link, turn: Turn) -> list[Event]:
        part_id = self._ledger.left(turn)
        try:
            link.send()
            reference = self._reference(link, turn)
        except RefusedError as error:
            self._answered_badly(turn, part_id, error)
            return []
        except LinkError as error:
            self._end(turn, self._doubt(turn, _REASONS.get(type(error), "closed")))
            raise
        self._ledger.taken(part_id, reference)
        self._desk.took_part(turn, part_id)
        if len(turn.gateway_ids) < turn.total:
            return []
        self._desk.drop(turn)
        if self._desk.settle(turn, Accepted(gateway_ids=tuple(turn.gateway_ids))):
            return []
        return self._arrivals.late_answer(turn.id, turn.message.token)

    def _reference(self, link: Link, turn: Turn) -> int:
        """Return the modem's reference, also if it comes late: the caller then has its doubt."""
        try:
            answer = link.answer_to_text(wait_s=self._settings.answer_s)
        except SilenceError:
            self._desk.settle(turn, self._doubt(turn, "no-answer"))
            answer = link.answer_to_text(wait_s=self._settings.late_s)
        found = _TAKEN.match(answer.text)
        if found is None:
            raise SilenceError
        return int(found[1]) % 256

    def _answered_badly(self, turn: Turn, part_id: str, error: RefusedError) -> None:
        verdict = after_text(error.refusal)
        self.sim_is_full |= error.refusal.of_full_sim
        if isinstance(verdict, Rejected):
            self._ledger.refused(part_id)
            self._refused(turn, verdict)
        else:
            self._end(turn, self._doubt(turn, verdict.reason))
        if error.refusal.of_reset:
            raise ModemResetError from error

    def _refused(self, turn: Turn, rejected: Rejected) -> None:
        """End a text of which nothing was taken; try a later part of another one again."""
        turn.tries += 1
        if not turn.gateway_ids:
            self._end(turn, rejected)
            if rejected.scope is Scope.ROUTE:
                self._desk.refuse_waiting(rejected)
        elif rejected.kind is RejectKind.PERMANENT or turn.tries >= _MOST_TRIES:
            self._end(turn, self._doubt(turn, "partial"))
        else:
            turn.not_before = monotonic() + self._settings.retry_s

    def _end(self, turn: Turn, outcome: Outcome) -> None:
        self._desk.drop(turn)
        self._desk.settle(turn, outcome)

    def _doubt(self, turn: Turn, reason: str) -> Ambiguous:
        return Ambiguous(reason=reason, gateway_ids=tuple(turn.gateway_ids))
