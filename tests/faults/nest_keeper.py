"""Asks the nest for steps of the service, and tells which of them were killed."""

import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.faults.nest import Step

ROOT = Path(__file__).parent.parent.parent


class Nest:
    """A running nest."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self._process = process

    def killed(self, step: Step) -> bool:
        """Do a step; say whether it was killed at the point that it names."""
        asked, answers = self._process.stdin, self._process.stdout
        assert asked is not None
        assert answers is not None
        asked.write(step.line())
        asked.flush()
        status = int(answers.readline())
        assert status in (0, -signal.SIGKILL), f"the step ended with {status}; see above"
        return status != 0


@contextmanager
def a_nest() -> Iterator[Nest]:
    """Give a running nest."""
    with subprocess.Popen(
        [sys.executable, "-m", "tests.faults.nest"],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        yield Nest(process)  # its input ends with the block, and so does it
