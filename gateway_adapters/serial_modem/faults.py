"""What can go wrong on the line to a modem. These errors stay inside this package."""

from gateway_adapters.contract import Rejected, RejectKind, Scope
from gateway_adapters.serial_modem.codes import Refusal


class LinkError(Exception):
    """Something went wrong between us and the modem."""


class DeviceGoneError(LinkError):
    """The device cannot be opened, read or written; its sentence says which."""


class ModemResetError(LinkError):
    """The modem has started anew and lost its settings."""


class SilenceError(LinkError):
    """No answer came in time."""


class StoppingError(LinkError):
    """The gateway is being closed."""


class RefusedError(LinkError):
    """The modem answered with an error."""

    def __init__(self, refusal: Refusal) -> None:
        super().__init__(refusal.code)
        self.refusal = refusal


class UnusableError(LinkError):
    """The modem is there but cannot be used; `rejected` is what each text is told."""

    def __init__(self, rejected: Rejected) -> None:
        super().__init__(rejected.code)
        self.rejected = rejected


def not_sent(detail: str) -> Rejected:
    """Return the outcome of a text of which certainly no octet has left."""
    return Rejected(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code="not-sent", detail=detail)


def sim_trouble(code: str, detail: str) -> Rejected:
    """Return the outcome of a text that must wait until somebody has seen to the SIM."""
    return Rejected(kind=RejectKind.PERMANENT, scope=Scope.ROUTE, code=code, detail=detail)
