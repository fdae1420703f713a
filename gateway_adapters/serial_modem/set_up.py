"""Sets the modem up, from the first AT to the texts on its SIM (3GPP TS 27.005, TS 27.007).

It is run again at any sign that the modem was reset, so each step holds whatever state it finds.
"""

import re

from gateway_adapters.serial_modem.faults import RefusedError, SilenceError
from gateway_adapters.serial_modem.journal import Journal
from gateway_adapters.serial_modem.link import Link
from gateway_adapters.serial_modem.pin import unlock
from gateway_adapters.serial_modem.settings import ModemSettings
from gateway_adapters.serial_modem.sim_store import read_usage
from gateway_adapters.serial_modem.standing import Standing

_TRIES = 10
_TRY_S = 1.0
_SIGNAL = re.compile(r"\+CSQ: ?([0-9]{1,2}),")
_REGISTRATION = re.compile(r"\+CREG: ?[0-9],([0-9]{1,2})")
# Texts are stored on the SIM and announced; reports come at once, or are stored too, or not at all.
_ANNOUNCE = ("AT+CNMI=2,1,0,1,0", "AT+CNMI=2,1,0,2,0")
_ANNOUNCE_TEXTS = "AT+CNMI=2,1,0,0,0"


def set_up(link: Link, settings: ModemSettings, *, journal: Journal, standing: Standing) -> None:
    """Bring the modem into PDU mode, texts stored and reports asked for; note how it is.

    Raises:
        UnusableError: the SIM is missing or locked, or the modem cannot do what is needed.
        LinkError: the modem was silent or broke off.
    """
    wait_s = settings.command_s
    link.forget_reset()
    link.echo_is_off = False
    link.escape()
    _wake(link, wait_s=min(_TRY_S, wait_s))
    link.ask("ATE0", wait_s=wait_s)
    link.echo_is_off = True
    _try(link, "AT+CMEE=1", wait_s=wait_s)
    unlock(link, pin=settings.pin, journal=journal, wait_s=wait_s)
    link.ask("AT+CMGF=0", wait_s=wait_s)
    _try(link, "AT+CSMS=0", wait_s=wait_s)
    link.ask('AT+CPMS="SM","SM","SM"', info="+CPMS:", wait_s=wait_s)
    are_told = any(_try(link, command, wait_s=wait_s) for command in _ANNOUNCE)
    standing.note_receipts(are_told=are_told)
    if not are_told:
        _try(link, _ANNOUNCE_TEXTS, wait_s=wait_s)
    look(link, standing=standing, wait_s=wait_s)


def look(link: Link, *, standing: Standing, wait_s: float) -> None:
    """Ask for registration, signal and room on the SIM, and note them.

    Raises:
        LinkError: the modem was silent or broke off.
    """
    registration = _asked(link, "AT+CREG?", "+CREG:", _REGISTRATION, wait_s=wait_s)
    signal = _asked(link, "AT+CSQ", "+CSQ:", _SIGNAL, wait_s=wait_s)
    standing.note_network(signal=signal, registration=registration)
    try:
        rows = link.ask("AT+CPMS?", info="+CPMS:", needs_info=True, wait_s=wait_s)
    except RefusedError:
        rows = []
    standing.note_usage(read_usage(rows))


def _wake(link: Link, *, wait_s: float) -> None:
    for _ in range(_TRIES):
        try:
            link.ask("AT", wait_s=wait_s)
        except (SilenceError, RefusedError):
            continue
        return
    raise SilenceError("The modem does not answer; unplug it and plug it in again.")


def _try(link: Link, command: str, *, wait_s: float) -> bool:
    try:
        link.ask(command, wait_s=wait_s)
    except RefusedError:
        return False
    return True


def _asked(
    link: Link, command: str, info: str, form: "re.Pattern[str]", *, wait_s: float
) -> int | None:
    try:
        rows = link.ask(command, info=info, needs_info=True, wait_s=wait_s)
    except RefusedError:
        return None
    found = form.match(rows[0].text)
    return int(found[1]) if found else None
