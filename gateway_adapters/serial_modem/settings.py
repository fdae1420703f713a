"""The modem's settings, checked before anything is opened; every fault is listed at once."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from gateway_adapters.errors import GatewayConfigError

_PIN = re.compile(r"[0-9]{4,8}")  # TS 31.101, 9.5.1, from memory
_NUMBER = re.compile(r"\+[1-9][0-9]{6,14}")
_CHANGING = re.compile(r"/dev/tty(?:USB|ACM)[0-9]+")
_TEXTS = ("port", "pin", "pin_file", "folder", "own_number")
_SECONDS = {
    "command_s": 5.0,
    "prompt_s": 5.0,
    "answer_s": 60.0,
    "late_s": 120.0,
    "poll_s": 60.0,
    "retry_s": 2.0,
    "first_wait_s": 1.0,
    "longest_wait_s": 60.0,
}
_LONGEST_S = 3600.0
# Rates and daily amounts that operators bear differ: the figures are from memory of field practice.
_COUNTS = {"baud": 115_200, "daily_segments": 200}
_RATE = "rate_per_s"
_USUAL_RATE_PER_S = 0.15
_KEYS = frozenset({*_TEXTS, *_SECONDS, *_COUNTS, _RATE})


@dataclass(frozen=True, slots=True, kw_only=True)
class ModemSettings:
    """How one modem is reached and used.

    Attributes:
        port: the device, by a name that stays when it is plugged in anew.
        own_number: of the SIM, in E.164; "" where it does not matter.
        folder: where sent references and a refused PIN are kept over a restart.
        daily_segments: how many parts may leave within 24 hours.
        rate_per_s: texts a second that the modem can be expected to send.
        command_s, prompt_s, answer_s: how long an answer to a command, the prompt, and the answer
            to a text may take, in seconds.
        late_s: how long, after that, an answer to a text is still waited for.
        poll_s: how often the SIM is read though nothing was announced.
        retry_s: the wait before a later part of a long text is tried again.
        first_wait_s, longest_wait_s: the bounds of the wait before a lost modem is tried again.
    """

    port: str
    pin: str | None = field(default=None, repr=False)
    own_number: str = field(default="", repr=False)
    folder: Path | None = None
    baud: int = _COUNTS["baud"]
    daily_segments: int = _COUNTS["daily_segments"]
    rate_per_s: float = _USUAL_RATE_PER_S
    command_s: float = _SECONDS["command_s"]
    prompt_s: float = _SECONDS["prompt_s"]
    answer_s: float = _SECONDS["answer_s"]
    late_s: float = _SECONDS["late_s"]
    poll_s: float = _SECONDS["poll_s"]
    retry_s: float = _SECONDS["retry_s"]
    first_wait_s: float = _SECONDS["first_wait_s"]
    longest_wait_s: float = _SECONDS["longest_wait_s"]


def read_settings(settings: Mapping[str, object]) -> ModemSettings:
    """Return the settings; only `port` must be given.

    Raises:
        GatewayConfigError: some are unknown, missing or wrong; the sentences list all faults.
    """
    faults = [
        f"{key!r} is no setting of the serial modem; it has {', '.join(sorted(_KEYS))}."
        for key in sorted(settings.keys() - _KEYS)
    ]
    texts = {key: _text(settings, key, faults) for key in _TEXTS}
    seconds = {key: _number(settings, key, usual, faults) for key, usual in _SECONDS.items()}
    counts = {key: _count(settings, key, usual, faults) for key, usual in _COUNTS.items()}
    read = ModemSettings(
        port=_port(texts["port"], faults),
        pin=_pin(texts, faults),
        own_number=_own_number(texts["own_number"], faults),
        folder=Path(texts["folder"]) if texts["folder"] else None,
        rate_per_s=_number(settings, _RATE, _USUAL_RATE_PER_S, faults),
        baud=counts["baud"],
        daily_segments=counts["daily_segments"],
        **seconds,
    )
    if faults:
        raise GatewayConfigError(" ".join(faults))
    return read


def _text(settings: Mapping[str, object], key: str, faults: list[str]) -> str:
    value = settings.get(key, "")
    if isinstance(value, str | Path) and "\0" not in str(value):
        return str(value)
    faults.append(f"{key!r} must be a text.")
    return ""


def _number(settings: Mapping[str, object], key: str, usual: float, faults: list[str]) -> float:
    value = settings.get(key, usual)
    if isinstance(value, int | float) and value is not True and 0 < value <= _LONGEST_S:
        return float(value)
    faults.append(f"{key!r} must be a number over 0, and {_LONGEST_S:.0f} at most.")
    return usual


def _count(settings: Mapping[str, object], key: str, usual: int, faults: list[str]) -> int:
    value = settings.get(key, usual)
    if isinstance(value, int) and value is not True and value > 0:
        return value
    faults.append(f"{key!r} must be a whole number over 0.")
    return usual


def _port(port: str, faults: list[str]) -> str:
    if not port:
        faults.append("'port' must name the modem's device, such as one in /dev/serial/by-id.")
    elif _CHANGING.fullmatch(port):
        faults.append(
            "'port' must be a name that stays when the modem is plugged in anew; take the one in "
            "/dev/serial/by-id."
        )
    return port


def _pin(texts: Mapping[str, str], faults: list[str]) -> str | None:
    pin = texts["pin"]
    if texts["pin_file"]:
        if pin:
            faults.append("Give 'pin' or 'pin_file', not both.")
        try:
            pin = Path(texts["pin_file"]).read_text(encoding="ascii").strip()
        except (OSError, ValueError):
            faults.append("The file that 'pin_file' names cannot be read.")
            return None
    elif not pin:
        return None
    if not _PIN.fullmatch(pin):
        faults.append("The PIN must be 4 to 8 digits.")
    if not texts["folder"]:
        faults.append(
            "A PIN needs 'folder', where it is remembered if the SIM refuses it: three wrong tries "
            "lock a SIM."
        )
    return pin


def _own_number(number: str, faults: list[str]) -> str:
    if number and not _NUMBER.fullmatch(number):
        faults.append("'own_number' must be a number such as '+255100000001'.")
    return number
