"""Seasons of the demo as their commands play them, and what of their ends must be the same."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
LIMIT_S = 900


def command(name: str, data: Path, *options: str) -> list[str]:
    """Return the words that start a demo."""
    words = [name, "--season", "--data", str(data), *options]
    return [sys.executable, "-m", "service.cli.main", *words]


def environment(**more: str) -> dict[str, str]:
    """Return what a demo is started with."""
    return {**os.environ, "FURROWBELL_DEMO_FOLDER": str(ROOT / "deploy"), **more}


def played(data: Path, *options: str, crash: str = "") -> subprocess.CompletedProcess[str]:
    """Play a season in one process, perhaps up to a crash."""
    return subprocess.run(  # noqa: S603 -- our own command, with our own words
        command("demo", data, *options),
        cwd=ROOT,
        env=environment(FURROWBELL_REHEARSE_CRASH=crash),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
        timeout=LIMIT_S,
    )


def summary_of(output: str) -> list[str]:
    """Return the lines of the table that a season ends with, and of what is said after it."""
    return output[output.index("\nTexts sent") :].splitlines()


def without_unknown(output: str) -> list[str]:
    """Return those lines but for the texts in doubt, and the calls about them."""
    return [line for line in summary_of(output) if "unknown" not in line]
