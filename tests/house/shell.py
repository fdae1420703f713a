"""Runs a few lines of bash and returns what came of it."""

import os
import shutil
import subprocess
from pathlib import Path


def run_bash(
    lines: str, *, folder: Path, path: str | None = None, limit_s: float = 120
) -> subprocess.CompletedProcess[str]:
    """Run `lines` in `folder`, stopping at the first failure.

    Args:
        lines: What to run.
        folder: The folder to start in.
        path: The search path for commands, if not the caller's own.
        limit_s: Seconds after which the run counts as hung.

    Raises:
        FileNotFoundError: There is no bash on this machine.
        subprocess.TimeoutExpired: The limit was reached.
    """
    bash = shutil.which("bash")
    if bash is None:
        raise FileNotFoundError("These checks need bash; install it and run them again.")
    return subprocess.run(  # noqa: S603 -- the lines come from this repository alone
        [bash, "-euo", "pipefail", "-c", lines],
        cwd=folder,
        env=os.environ if path is None else {**os.environ, "PATH": path},
        capture_output=True,
        text=True,
        check=False,
        timeout=limit_s,
    )
