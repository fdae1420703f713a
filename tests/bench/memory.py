"""The most memory that a sending process takes.

`python -m tests.bench.memory URL MANY` sends so many texts and prints its peak in kilobytes.
"""

import resource
import subprocess
import sys
from pathlib import Path

from tests.bench.sending import send_some
from tests.bench.stock import opened

ROOT = Path(__file__).parent.parent.parent
LIMIT_S = 300


def peak_kb(url: str, many: int) -> float:
    """Return the peak of a process of its own that sends so many texts, in kilobytes."""
    done = subprocess.run(  # noqa: S603 -- our own program, with our own words
        [sys.executable, "-m", "tests.bench.memory", url, str(many)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=LIMIT_S,
    )
    return float(done.stdout)


if __name__ == "__main__":
    with opened(sys.argv[1]) as database:
        send_some(database, int(sys.argv[2]))
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)  # noqa: T201 -- whoever started this reads it
