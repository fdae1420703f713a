"""Workers in processes of their own, started, killed and frozen by their number."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
LIMIT_S = 120


class Worker:
    """A running worker."""

    def __init__(self, url: str, folder: Path, *, lease_s: float) -> None:
        words = [sys.executable, "-m", "tests.faults.worker", url, str(folder), str(lease_s)]
        self._process = subprocess.Popen(  # noqa: S603 -- our own program, with our own words
            words, cwd=ROOT, stdout=subprocess.PIPE, stdin=subprocess.DEVNULL
        )
        assert self._process.stdout is not None
        assert self._process.stdout.readline() == b"ready\n"

    @property
    def is_over(self) -> bool:
        """Whether it has ended."""
        return self._process.poll() is not None

    def kill(self) -> None:
        """End it without a word."""
        self._send(signal.SIGKILL)
        self._process.wait()

    def freeze(self) -> None:
        """Stop it where it is."""
        self._send(signal.SIGSTOP)

    def thaw(self) -> None:
        """Let it go on as if nothing had been."""
        self._send(signal.SIGCONT)

    def wait(self) -> int:
        """Wait until it ends, and return its status."""
        return self._process.wait(LIMIT_S)

    def close(self) -> None:
        """End it, and let go of its output."""
        if not self.is_over:
            self.kill()
        assert self._process.stdout is not None
        self._process.stdout.close()

    def _send(self, number: int) -> None:
        if not self.is_over:
            os.kill(self._process.pid, number)


@contextmanager
def a_worker(url: str, folder: Path, *, lease_s: float = LIMIT_S) -> Iterator[Worker]:
    """Give a running worker."""
    worker = Worker(url, folder, lease_s=lease_s)
    try:
        yield worker
    finally:
        worker.close()
