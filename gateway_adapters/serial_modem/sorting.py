"""Sorts a modem's lines: answer, prompt, notice, sign of a reset, or noise (TS 27.005, 27.007).

Pure, with a memory of two lines at most: headers whose PDU is still to come. A notice may stand
anywhere, also between a command and its answer, or between a header and its PDU.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

from gateway_adapters.serial_modem.incoming_pdu import is_hex, tpdu_length
from gateway_adapters.serial_modem.lines import Line, Prompt

_FINAL = re.compile(r"OK|ERROR|\+CM[SE] ERROR: ?[0-9]{1,5}")
# Vendors' notices begin with ^; the others are those of the standards named above.
_NOTICE = re.compile(
    r"\+(?:CMTI|CMT|CDS|CDSI|CREG|CUSD|CPIN|CSQ|CRING|CLIP):.*|RING|NO CARRIER|\^.*"
)
_WITH_PDU = re.compile(r"\+(?:CMT|CDS|CMGR|CMGL):")
_LENGTH = re.compile(r"([0-9]{1,3})$")
# A restarted modem says so at once: from field practice, from memory. One that says nothing is
# known by its echo, or by error 302.
_BOOT = frozenset({"^SYSSTART", "RDY"})
_ANSWER_TO_CREG = re.compile(r"\+CREG: ?[0-9],[0-9]")  # the notice has no number before the state


class Kind(StrEnum):
    """What a line is."""

    INFO = "info"
    FINAL = "final"
    PROMPT = "prompt"
    NOTICE = "notice"
    ECHO = "echo"
    BOOT = "boot"
    NOISE = "noise"


@dataclass(frozen=True, slots=True, kw_only=True)
class Awaited:
    """What the command that is under way waits for; `info` is how its own lines begin."""

    command: str
    info: str = ""
    prompt: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Sorted:
    """A line and what it is; `pdu` where one came with it."""

    kind: Kind
    text: str = ""
    pdu: str = ""


class Sorter:
    """Sorts one line after the other."""

    def __init__(self) -> None:
        self._info: str | None = None
        self._notice: str | None = None

    def sort(self, line: Line | Prompt, awaited: Awaited | None) -> list[Sorted]:
        """Return what the line is; nothing where its PDU is still to come.

        A notice's PDU is the very next line. That of an answer may have a notice before it.
        """
        if isinstance(line, Prompt):
            return [Sorted(kind=Kind.PROMPT)]
        text = line.text.strip()
        notice, self._notice = self._notice, None
        if notice is not None:
            if not line.is_cut and is_hex(text) and _announces(notice, text):
                return [Sorted(kind=Kind.NOTICE, text=notice, pdu=text)]
            return [Sorted(kind=Kind.NOISE, text=notice), *self._sort(line, text, awaited)]
        return self._sort(line, text, awaited)

    def _sort(self, line: Line, text: str, awaited: Awaited | None) -> list[Sorted]:
        if line.is_cut or not text:
            return [Sorted(kind=Kind.NOISE, text=text)]
        if self._info is not None and is_hex(text) and _announces(self._info, text):
            info, self._info = self._info, None
            return [Sorted(kind=Kind.INFO, text=info, pdu=text)]
        kind = _kind(text, awaited)
        if kind is Kind.FINAL:
            self._info = None
        if not _WITH_PDU.match(text):
            return [Sorted(kind=kind, text=text)]
        if kind is Kind.NOTICE:
            self._notice = text
            return []
        if kind is Kind.INFO:
            lost, self._info = self._info, text
            return [] if lost is None else [Sorted(kind=Kind.NOISE, text=lost)]
        return [Sorted(kind=kind, text=text)]


def _announces(header: str, pdu: str) -> bool:
    length = _LENGTH.search(header)
    return length is not None and int(length[1]) == tpdu_length(pdu)


def _kind(text: str, awaited: Awaited | None) -> Kind:
    if text in _BOOT:
        return Kind.BOOT
    if awaited is not None:
        if text == awaited.command:
            return Kind.ECHO
        if awaited.info and text.startswith(awaited.info) and _is_own(text):
            return Kind.INFO
    if _FINAL.fullmatch(text):
        return Kind.FINAL if awaited is not None else Kind.NOISE
    return Kind.NOTICE if _NOTICE.fullmatch(text) else Kind.NOISE


def _is_own(text: str) -> bool:
    return not text.startswith("+CREG:") or _ANSWER_TO_CREG.match(text) is not None
