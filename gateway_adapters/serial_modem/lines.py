"""Cuts what a modem says into lines and prompts. Pure: octets in, lines out, memory bounded.

A line ends with CR or LF. Octets that are not printable ASCII are dropped and counted, and a
line is kept up to 1,024 octets; what is cut off is counted too, and so is the line.
"""

from dataclasses import dataclass

LONGEST = 1024
_ENDS = b"\r\n"
_PROMPT = b"> "  # TS 27.005, 3.5.1: no line end follows it


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line without its end; `is_cut` where it was too long to be kept whole."""

    text: str
    is_cut: bool = False


@dataclass(frozen=True, slots=True)
class Prompt:
    """The modem waits for the text."""


class LineCutter:
    """Takes octets as they come and gives back the lines that are complete."""

    def __init__(self) -> None:
        self.dropped = 0
        self.cut = 0
        self._kept = bytearray()
        self._is_cut = False

    def feed(self, octets: bytes, *, prompt_awaited: bool) -> list[Line | Prompt]:
        """Return what the octets complete, in order; empty lines are left out.

        A prompt is seen only where one is awaited; elsewhere it is the start of a line.
        """
        found: list[Line | Prompt] = []
        for octet in octets:
            if octet in _ENDS:
                found += self._finished()
            elif not 0x20 <= octet < 0x7F:  # noqa: PLR2004 -- printable ASCII
                self.dropped += 1
            elif len(self._kept) >= LONGEST:
                self._is_cut = True
                self.dropped += 1
            else:
                self._kept.append(octet)
                if prompt_awaited and self._kept == _PROMPT:
                    self._kept.clear()
                    found.append(Prompt())
        return found

    def _finished(self) -> list[Line]:
        text, is_cut = self._kept.decode("ascii"), self._is_cut
        self._kept.clear()
        self._is_cut = False
        self.cut += is_cut
        return [Line(text=text, is_cut=is_cut)] if text else []
