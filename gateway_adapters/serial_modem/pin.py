"""Unlocks the SIM, and never tries a PIN twice that was refused once (3GPP TS 27.007, 8.3)."""

import re

from gateway_adapters.contract import Rejected
from gateway_adapters.serial_modem.codes import before_text
from gateway_adapters.serial_modem.faults import RefusedError, UnusableError, sim_trouble
from gateway_adapters.serial_modem.journal import Journal
from gateway_adapters.serial_modem.link import Link

_STATE = re.compile(r"\+CPIN: ?([A-Z0-9 -]{1,20})")
_UNLOCK_S = 20.0
_LOOKS = 10  # a SIM needs a moment after its PIN: from memory of field practice
# A SIM that asks for PIN2 or PUK2 can send: those guard other things.
_USABLE = frozenset({"READY", "SIM PIN2", "SIM PUK2"})


def unlock(link: Link, *, pin: str | None, journal: Journal, wait_s: float) -> None:
    """Return once the SIM can be used.

    Raises:
        UnusableError: it cannot, and somebody has to see to it.
        LinkError: the modem was silent or broke off.
    """
    state = _state(link, wait_s=wait_s)
    if state == "SIM PIN":
        _enter(link, pin=pin, journal=journal)
        state = next(
            (now for _ in range(_LOOKS) if (now := _state(link, wait_s=wait_s)) in _USABLE), state
        )
    if state in _USABLE:
        return
    if state == "SIM PUK":
        raise UnusableError(
            sim_trouble("puk-needed", "The SIM has locked itself; unlock it in a phone.")
        )
    raise UnusableError(sim_trouble("sim-locked", "The SIM is locked; look at it in a phone."))


def _state(link: Link, *, wait_s: float) -> str:
    try:
        rows = link.ask("AT+CPIN?", info="+CPIN:", needs_info=True, wait_s=wait_s)
    except RefusedError as error:
        raise UnusableError(before_text(error.refusal)) from error
    found = _STATE.match(rows[0].text)
    return found[1].strip() if found else ""


def _enter(link: Link, *, pin: str | None, journal: Journal) -> None:
    if pin is None:
        raise UnusableError(
            sim_trouble(
                "pin-needed", "The SIM asks for its PIN; name the file with it in pin_file."
            )
        )
    if not journal.may_try(pin):
        raise UnusableError(_refused())
    try:
        link.ask(f'AT+CPIN="{pin}"', wait_s=_UNLOCK_S)
    except RefusedError as error:
        raise UnusableError(_refused()) from error
    journal.pin_was_right()


def _refused() -> Rejected:
    return sim_trouble(
        "pin-refused",
        "The SIM has refused the PIN, or its answer was lost; it is not tried again. Give the "
        "right one, or delete the file pins-tried in the modem's folder.",
    )
