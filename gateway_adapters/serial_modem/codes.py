"""What a modem's error means for a text, and what a report's status means. Tables, pure.

Sources: the numbers are those of 3GPP TS 27.005, 3.2.5 (+CMS ERROR, with the causes of TS 24.011
and TS 23.040 below 256), TS 27.007, 9.2 (+CME ERROR) and TS 23.040, 9.2.3.15 (status); from 300 on
they were compared with several public libraries. What follows from a number is our own.
"""

import re
from dataclasses import dataclass

from gateway_adapters.contract import Ambiguous, Rejected, RejectKind, Scope
from gateway_adapters.events import ReceiptState

_ERROR = re.compile(r"\+(CM[SE]) ERROR: ?([0-9]{1,5})")
_P, _T = RejectKind.PERMANENT, RejectKind.TRANSIENT
_M, _R = Scope.MESSAGE, Scope.ROUTE

_NO_SUCH_NUMBER = (_P, _M, "The network knows no such number.")
_BARRED = (_P, _R, "The SIM may not send: look at its credit and its contract.")
_OUR_DEFECT = (_P, _M, "The modem cannot read what it was given; report this.")
_NETWORK_BUSY = (_T, _R, "The network is busy or out of order.")
_NOT_NOW = (_T, _M, "The network does not take this text at present.")
_SIM = (_P, _R, "The SIM is missing, locked or broken.")
_SIM_BUSY = (_T, _R, "The SIM is busy.")
_FULL = (_T, _R, "The SIM is full of texts that came in.")
_RESET = (_T, _R, "The modem has lost its settings and is set up anew.")
_NO_SERVICE = (_T, _R, "The modem has no network.")
_MODEM_FAILS = (_T, _R, "The modem reports a failure of its own.")

_CMS: dict[int, tuple[RejectKind, Scope, str]] = {
    **dict.fromkeys((1, 28, 30), _NO_SUCH_NUMBER),
    **dict.fromkeys((8, 10, 50), _BARRED),
    **dict.fromkeys((21, 27), _NOT_NOW),
    **dict.fromkeys((38, 41, 42, 47, 192, 194), _NETWORK_BUSY),
    **dict.fromkeys((69, 81, 95, 96, 97, 98, 99, 111, 127, 304, 305), _OUR_DEFECT),
    **dict.fromkeys((195, 196), (_P, _M, "The network does not serve this number.")),
    **dict.fromkeys((198, 199), (_P, _R, "The network does not take our form of validity.")),
    **dict.fromkeys((208, 211, 322), _FULL),
    **dict.fromkeys((300, 301, 320), _MODEM_FAILS),
    **dict.fromkeys((302, 303), _RESET),
    **dict.fromkeys((310, 311, 312, 313, 315, 316, 317, 318), _SIM),
    314: _SIM_BUSY,
    330: (_P, _R, "The SIM knows no message centre; set its number with the operator."),
    331: _NO_SERVICE,
}
_CME: dict[int, tuple[RejectKind, Scope, str]] = {
    **dict.fromkeys((3, 4), _RESET),
    **dict.fromkeys((5, 10, 11, 12, 13, 15, 16, 17, 18), _SIM),
    14: _SIM_BUSY,
    20: _FULL,
    30: _NO_SERVICE,
    32: _BARRED,
}
_NETWORKS_OWN = 256  # below it a number is a cause that the network gave: a clear refusal
_RESET_CODES = frozenset({"cms-302", "cms-303", "cme-3", "cme-4"})
_FULL_CODES = frozenset({"cms-208", "cms-211", "cms-322", "cme-20"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """An error that a modem answered, as a short code such as `cms-42`; "error" if bare."""

    code: str

    @property
    def of_reset(self) -> bool:
        """Whether only a modem that has lost its settings answers so."""
        return self.code in _RESET_CODES

    @property
    def of_full_sim(self) -> bool:
        """Whether texts that came in must be read and deleted first."""
        return self.code in _FULL_CODES


def read_refusal(final: str) -> Refusal:
    """Return the error in a final line that is not OK."""
    found = _ERROR.fullmatch(final)
    return Refusal(code="error" if found is None else f"{found[1].lower()}-{int(found[2])}")


def before_text(refusal: Refusal) -> Rejected:
    """Return what an error before the prompt means: no octet of the text had left."""
    kind, scope, detail = _table(refusal) or (_T, _R, "")
    if (kind, scope) == (_T, _R) or not detail:
        detail = detail or "The modem refused before it had the text."
        return Rejected(kind=_T, scope=_R, code="not-sent", detail=f"{detail} ({refusal.code})")
    return Rejected(kind=kind, scope=scope, code=refusal.code, detail=detail)


def after_text(refusal: Refusal) -> Rejected | Ambiguous:
    """Return what an error behind the text means; where the network may have it, a doubt."""
    if found := _table(refusal):
        kind, scope, detail = found
        return Rejected(kind=kind, scope=scope, code=refusal.code, detail=detail)
    source, _, number = refusal.code.partition("-")
    if source == "cms" and int(number) < _NETWORKS_OWN:
        return Rejected(
            kind=_T, scope=_M, code=refusal.code, detail="The network refused the text."
        )
    return Ambiguous(reason=refusal.code)


def _table(refusal: Refusal) -> tuple[RejectKind, Scope, str] | None:
    source, _, number = refusal.code.partition("-")
    if source == "cms":
        return _CMS.get(int(number))
    return _CME.get(int(number)) if source == "cme" else None


def state_of_status(status: int) -> ReceiptState:
    """Return what TP-Status says of a text, 0 to 255 (TS 23.040, 9.2.3.15)."""
    if status == 0x00:
        return ReceiptState.DELIVERED
    if status in (0x01, 0x02):  # forwarded without confirmation, or replaced
        return ReceiptState.SUBMITTED
    if 0x20 <= status < 0x40:  # noqa: PLR2004 -- the centre still tries
        return ReceiptState.SUBMITTED
    if status == 0x46:  # noqa: PLR2004 -- the validity is over
        return ReceiptState.EXPIRED
    if 0x40 <= status < 0x80:  # noqa: PLR2004 -- given up, for good or for now
        return ReceiptState.FAILED
    return ReceiptState.UNKNOWN
