"""A modem on a pseudo-terminal that answers as a test says, for what the peer does not do."""

import os
import pty
import select
import tty
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from threading import Condition, Thread

_WAIT_S = 10.0
_USUAL = {
    "AT+CPIN?": ("+CPIN: READY", "OK"),
    "AT+CREG?": ("+CREG: 0,1", "OK"),
    "AT+CSQ": ("+CSQ: 17,99", "OK"),
    "AT+CPMS?": ('+CPMS: "SM",0,20,"SM",0,20,"SM",0,20', "OK"),
}
Answer = Callable[[str], Sequence[str] | None]


class Scripted:
    """Answers each command by `answer`; where that gives None, as a modem that is well."""

    def __init__(self, answer: Answer) -> None:
        self._answer = answer
        self._ours, self._theirs = pty.openpty()
        tty.setraw(self._theirs)
        self._wake, self._waker = os.pipe()
        self.device = os.ttyname(self._theirs)
        self._commands: list[str] = []
        self._news = Condition()
        self._thread = Thread(target=self._run, daemon=True)
        self._thread.start()

    @property
    def commands(self) -> list[str]:
        """Every command so far, in order."""
        with self._news:
            return list(self._commands)

    def wait_for(self, command: str) -> None:
        """Wait until a command has come."""
        with self._news:
            assert self._news.wait_for(lambda: command in self._commands, _WAIT_S), command

    def close(self) -> None:
        """End, and give the device back."""
        os.write(self._waker, b"x")
        self._thread.join(_WAIT_S)
        for descriptor in (self._ours, self._theirs, self._wake, self._waker):
            os.close(descriptor)

    def _run(self) -> None:
        waiting = b""
        while True:
            ready, _, _ = select.select([self._ours, self._wake], [], [])
            if self._wake in ready:
                return
            *lines, waiting = (waiting + os.read(self._ours, 4096)).split(b"\r")
            for line in lines:
                self._take(line.replace(b"\x1b", b"").decode("ascii"))

    def _take(self, command: str) -> None:
        with self._news:
            self._commands.append(command)
            self._news.notify_all()
        answer = self._answer(command)
        if answer is None:
            answer = _USUAL.get(command, ("OK",))
        os.write(self._ours, "".join(f"\r\n{line}\r\n" for line in answer).encode("ascii"))


@contextmanager
def scripted(answer: Answer) -> Iterator[Scripted]:
    """Run a scripted modem for a block."""
    modem = Scripted(answer)
    try:
        yield modem
    finally:
        modem.close()
