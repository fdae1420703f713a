"""The disk that the records lie on: is there room."""

from collections.abc import Callable
from pathlib import Path
from shutil import disk_usage

from service.cli.check_finding import Finding, well, wrong

LEAST_SHARE = 0.05  # this and the next: project choice
LEAST_BYTES = 100_000_000
_MB = 1_000_000

Usage = Callable[[Path], tuple[int, int, int]]
"""Gives the total, used and free bytes of the disk on which a folder lies."""


def disk_findings(file: Path | None, *, usage: Usage = disk_usage) -> list[Finding]:
    """Return how full the disk of a database file is; of a server's there is no file to ask."""
    if file is None:
        return [well("The database is kept by a server, and its disk is that server's own affair.")]
    folder = next(each for each in file.resolve().parents if each.is_dir())
    total, _, free = usage(folder)
    said = f"{free // _MB} MB free, {free / max(total, 1):.0%} of it"
    if free >= LEAST_BYTES and free >= total * LEAST_SHARE:
        return [well(f"The disk of the database file has room: {said}.")]
    return [
        wrong(
            f"The disk of the database file is nearly full: {said}. Make room before it is full,"
            " for then nothing is sent and nothing that growers report is kept."
        )
    ]
