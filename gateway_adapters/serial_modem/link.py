"""Talks to the modem: one command at a time, while a thread of its own reads all it says."""

from collections import deque
from collections.abc import Callable
from dataclasses import replace
from threading import Condition, Thread
from time import monotonic

from gateway_adapters.serial_modem.codes import read_refusal
from gateway_adapters.serial_modem.faults import (
    DeviceGoneError,
    ModemResetError,
    RefusedError,
    SilenceError,
    StoppingError,
)
from gateway_adapters.serial_modem.lines import LineCutter
from gateway_adapters.serial_modem.port import Port
from gateway_adapters.serial_modem.sorting import Awaited, Kind, Sorted, Sorter

_ESCAPE, _SEND = b"\x1b", b"\x1a"  # TS 27.005, 3.5.1
_MOST_NOTICES = 1000  # a modem that floods us must not fill the memory
_JOIN_S = 5.0


class Link:
    """An open line, its reader, and the command under way.

    Only one thread may give commands; `stop` and `close` may come from another.
    """

    def __init__(self, port: Port, *, on_news: Callable[[], None]) -> None:
        """Start reading; `on_news` is called when a notice has come or the line has broken."""
        self.echo_is_off = False
        self._port = port
        self._on_news = on_news
        self._news = Condition()
        self._cutter, self._sorter = LineCutter(), Sorter()
        self._awaited: Awaited | None = None
        self._answers: deque[Sorted] = deque()
        self._notices: deque[Sorted] = deque(maxlen=_MOST_NOTICES)
        self._gone = self._was_reset = self._stopping = False
        self._reader = Thread(target=self._read, name="serial-modem-reader", daemon=True)
        self._reader.start()

    @property
    def dropped(self) -> int:
        """How many octets were no printable ASCII or over a line's length."""
        return self._cutter.dropped

    def ask(
        self, command: str, *, wait_s: float, info: str = "", needs_info: bool = False
    ) -> list[Sorted]:
        """Give a command and return its own lines once the modem has said OK.

        An OK without a line where one is needed is left over from before and is passed over.

        Raises:
            RefusedError: the modem answered with an error.
            LinkError: no answer came, or the line broke.
        """
        self._begin(Awaited(command=command, info=info))
        self._port.write(f"{command}\r".encode("ascii"))
        return self._answer(wait_s=wait_s, needs_info=needs_info)

    def offer(self, command: str, *, info: str, wait_s: float) -> None:
        """Give a command that is followed by a text, and return at the modem's prompt.

        Raises:
            RefusedError: the modem answered with an error.
            LinkError: no prompt came, or the line broke.
        """
        self._begin(Awaited(command=command, info=info, prompt=True))
        self._port.write(f"{command}\r".encode("ascii"))
        until = monotonic() + wait_s
        while (item := self._next(until)).kind is not Kind.PROMPT:
            self._refuse_echo(item)
            if item.kind is Kind.FINAL and item.text != "OK":
                raise RefusedError(read_refusal(item.text))
        with self._news:
            if self._awaited is not None:
                self._awaited = replace(self._awaited, prompt=False)

    def type_text(self, line: str) -> None:
        """Write the text behind the prompt. It leaves only with `send`.

        Raises:
            DeviceGoneError: it could not be written.
        """
        self._port.write(line.encode("ascii"))

    def send(self) -> None:
        """Let the text go: from here on nobody knows, until the modem has answered.

        Raises:
            DeviceGoneError: the line broke; perhaps sent.
        """
        self._port.write(_SEND)

    def answer_to_text(self, *, wait_s: float) -> Sorted:
        """Return the line that says the text was taken; may be called again after a silence.

        Raises:
            RefusedError: the modem answered with an error.
            LinkError: no answer came, or the line broke.
        """
        return self._answer(wait_s=wait_s, needs_info=True)[0]

    def escape(self) -> None:
        """Leave a prompt, if the modem is at one, so that nothing is sent.

        Raises:
            DeviceGoneError: it could not be written.
        """
        self._port.write(_ESCAPE)

    def notices(self) -> list[Sorted]:
        """Return the notices that have come since the last call.

        Raises:
            LinkError: the line has broken, or the modem was reset.
        """
        with self._news:
            found = list(self._notices)
            self._notices.clear()
            if not found:
                self._refuse_broken()
            return found

    def forget_reset(self) -> None:
        """Take signs of a reset so far as seen."""
        with self._news:
            self._was_reset = False

    def stop(self) -> None:
        """Let whoever waits for an answer give up."""
        with self._news:
            self._stopping = True
            self._news.notify_all()

    def close(self) -> None:
        """Stop reading and give the device back."""
        self.stop()
        self._port.interrupt()
        self._reader.join(_JOIN_S)
        self._port.close()

    def _begin(self, awaited: Awaited) -> None:
        with self._news:
            self._refuse_broken()
            self._answers.clear()
            self._awaited = awaited

    def _answer(self, *, wait_s: float, needs_info: bool) -> list[Sorted]:
        until = monotonic() + wait_s
        lines: list[Sorted] = []
        while True:
            try:
                item = self._next(until)
            except SilenceError:
                if needs_info and lines:
                    return self._end(lines)  # only the OK behind it was lost
                raise
            self._refuse_echo(item)
            if item.kind is Kind.INFO:
                lines.append(item)
            elif item.kind is Kind.FINAL and item.text != "OK":
                self._end(lines)
                if not (needs_info and lines):
                    raise RefusedError(read_refusal(item.text))
                return lines
            elif item.kind is Kind.FINAL and (lines or not needs_info):
                return self._end(lines)

    def _end(self, lines: list[Sorted]) -> list[Sorted]:
        with self._news:
            self._awaited = None
        return lines

    def _refuse_echo(self, item: Sorted) -> None:
        if item.kind is Kind.ECHO and self.echo_is_off:
            raise ModemResetError

    def _next(self, until: float) -> Sorted:
        with self._news:
            while not self._answers:
                self._refuse_broken()
                left_s = until - monotonic()
                if left_s <= 0:
                    raise SilenceError
                self._news.wait(left_s)
            return self._answers.popleft()

    def _refuse_broken(self) -> None:
        if self._stopping:
            raise StoppingError
        if self._gone:
            raise DeviceGoneError("The modem was unplugged.")
        if self._was_reset:
            raise ModemResetError

    def _read(self) -> None:
        try:
            while not self._stopping:
                octets = self._port.read()
                if octets:
                    self._take_in(octets)
        except DeviceGoneError:
            with self._news:
                self._gone = True
                self._news.notify_all()
            self._on_news()

    def _take_in(self, octets: bytes) -> None:
        with self._news:
            prompt = self._awaited is not None and self._awaited.prompt
            for line in self._cutter.feed(octets, prompt_awaited=prompt):
                for item in self._sorter.sort(line, self._awaited):
                    self._file(item)
            self._news.notify_all()
            has_news = bool(self._notices) or self._was_reset
        if has_news:
            self._on_news()

    def _file(self, item: Sorted) -> None:
        match item.kind:
            case Kind.NOTICE:
                self._notices.append(item)
            case Kind.BOOT:
                self._was_reset = True
            case Kind.NOISE:
                pass
            case _ if self._awaited is not None and len(self._answers) < _MOST_NOTICES:
                self._answers.append(item)
            case _:
                pass  # an answer that nobody awaits any more
