"""Start-up of the calculator against a Python that only imports its command-line library.

The calculator is meant for anyone with a shell, so it should cost little more than that import.
"""

import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from statistics import median
from time import perf_counter

PAIRS = 9
LIMIT_S = 60
PLAN = ("plan", "--crop", "maize-grain", "--planted", "2027-03-15")


def seconds(command: Sequence[str]) -> float:
    """Return how long one run of the command takes.

    Raises:
        SystemExit: The command failed, so its time says nothing.
    """
    began = perf_counter()
    done = subprocess.run(  # noqa: S603 -- both commands are named in this file
        command, capture_output=True, text=True, check=False, timeout=LIMIT_S
    )
    took = perf_counter() - began
    if done.returncode != 0:
        raise SystemExit(f"{command[0]} exited with {done.returncode}: {done.stderr.strip()}")
    return took


def main(seed: int) -> None:
    """Time both in turn, the seed deciding which goes first in each pair, and print the ratio."""
    furrowbell = shutil.which("furrowbell", path=str(Path(sys.executable).parent))
    if furrowbell is None:
        raise SystemExit("furrowbell is not installed beside this Python; use tests/bench/run.")
    ours, baseline = [furrowbell, *PLAN], [sys.executable, "-c", "import click"]
    seconds(ours)  # the first run reads the files from disk and is not counted
    seconds(baseline)
    took: dict[bool, list[float]] = {True: [], False: []}
    for pair in range(PAIRS):
        first_is_ours = bool(seed >> pair & 1)
        for is_ours in (first_is_ours, not first_is_ours):
            took[is_ours].append(seconds(ours if is_ours else baseline))
    plan_s, import_s = median(took[True]), median(took[False])
    sys.stdout.write(
        f"start-up: furrowbell plan {plan_s:.3f} s, python -c 'import click' {import_s:.3f} s,"
        f" ratio {plan_s / import_s:.2f} (medians of {PAIRS} pairs)\n"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]))
