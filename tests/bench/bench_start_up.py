"""Start-up of the calculator against a Python that only imports its command-line library.

The calculator is meant for anyone with a shell, so it should cost little more than that import.
"""

import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from time import perf_counter

from tests.bench.common import Line, Setting, interleave, ratio_line

ROUNDS = 9
LIMIT_S = 60
PLAN = ("plan", "--crop", "maize-grain", "--planted", "2027-03-15")


def start_up(setting: Setting) -> Iterator[Line]:
    """Give the line of both start-ups; no goal is set for it."""
    furrowbell = shutil.which("furrowbell", path=str(Path(sys.executable).parent))
    if furrowbell is None:
        raise SystemExit("furrowbell is not installed beside this Python; use tests/bench/run.")
    ours, baseline = [furrowbell, *PLAN], [sys.executable, "-c", "import click"]
    _seconds(ours)  # the first run reads the files from disk and is not counted
    _seconds(baseline)
    seen = interleave(
        setting.rounds_or(ROUNDS),
        {"import click": lambda: _seconds(baseline), "plan": lambda: _seconds(ours)},
    )
    yield ratio_line("start_up.plan_vs_import", seen["plan"], seen["import click"], goal=None)


def _seconds(command: Sequence[str]) -> float:
    began = perf_counter()
    done = subprocess.run(  # noqa: S603 -- both commands are named in this file
        command, capture_output=True, text=True, check=False, timeout=LIMIT_S
    )
    took = perf_counter() - began
    if done.returncode != 0:  # its time would say nothing
        raise SystemExit(f"{command[0]} exited with {done.returncode}: {done.stderr.strip()}")
    return took
