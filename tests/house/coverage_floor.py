"""The floor on branch coverage, package by package, read from coverage's JSON report.

The packages below decide what a grower is told and when; a good average over the whole must not
hide a hole in one of them.
"""

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TypedDict

FLOOR_PERCENT = 95
PACKAGES = ("service/agronomy", "service/planning", "service/outbox", "service/inbound")


class Summary(TypedDict, total=False):
    """What coverage counted in one file; branches are absent unless it was told to count them."""

    num_branches: int
    covered_branches: int


class Measured(TypedDict):
    """One file of the report."""

    summary: Summary


class Report(TypedDict):
    """The part of coverage's JSON report that is read here."""

    files: dict[str, Measured]


def verdict(report: Report, package: str) -> tuple[bool, str]:
    """Return whether the package keeps the floor, and a sentence for people.

    A package in which nothing was measured does not keep it.
    """
    summaries = [
        measured["summary"]
        for path, measured in report["files"].items()
        if Path(path).as_posix().startswith(f"{package}/")
    ]
    branches = sum(summary.get("num_branches", 0) for summary in summaries)
    covered = sum(summary.get("covered_branches", 0) for summary in summaries)
    if branches == 0:
        return False, f"{package}: no branch was measured; run with branch coverage over it."
    # Whole numbers: 94.96 % must not be rounded up to the floor.
    kept = 100 * covered >= FLOOR_PERCENT * branches
    words = "keeps" if kept else "is under"
    share = f"{covered} of {branches} branches ({100 * covered / branches:.1f} %)"
    return kept, f"{package}: {share}, {words} the floor of {FLOOR_PERCENT} %."


def main(arguments: Sequence[str]) -> int:
    """Print one line a package; return 1 if any is under the floor, 0 otherwise."""
    report: Report = json.loads(Path(arguments[0]).read_text(encoding="utf-8"))
    verdicts = [verdict(report, package) for package in PACKAGES]
    sys.stdout.writelines(f"{sentence}\n" for _, sentence in verdicts)
    return 0 if all(kept for kept, _ in verdicts) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
