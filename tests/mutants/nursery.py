"""Runs pytest in the copy again and again, each time in a child of a process that is warm already.

Half of a short run goes into importing what no mutant changes; here that is imported once. Asked
on standard input and answering on standard output, a line of JSON each.
"""

import importlib
import json
import os
import signal
import sys
from pathlib import Path
from time import monotonic
from typing import TypedDict

import pytest

_WARM = (
    "alembic.command",
    "babel.dates",
    "click",
    "flask",
    "hypothesis.strategies",
    "phonenumbers",
    "sqlalchemy.orm",
)
_ALWAYS: tuple[str, ...] = (
    *("-x", "-q", "--tb=no", "-p", "no:cacheprovider", "-p", "tests.mutants.guard"),
    *("--import-mode=importlib", "--hypothesis-profile=ci"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),  # of what is warm already
)


class Question(TypedDict):
    """Which tests to run, where their output goes, and the limit in seconds, None without one."""

    paths: list[str]
    output: str
    limit_s: float | None
    bytecode_kept: bool


class Answer(TypedDict):
    """The status of a run, None where the time was up, and how long it took."""

    status: int | None
    seconds: float


def main() -> None:
    """Answer every question until there are no more."""
    for name in _WARM:
        importlib.import_module(name)
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGCHLD})
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
    for line in sys.stdin:
        answer = _answer(json.loads(line))
        sys.stdout.write(f"{json.dumps(answer)}\n")
        sys.stdout.flush()


def _answer(question: Question) -> Answer:
    began = monotonic()
    child = os.fork()
    if child == 0:
        _run_tests(question)
    limit_s, ended, status = question["limit_s"], False, None
    try:
        if limit_s is None:
            signal.sigwait({signal.SIGCHLD})
            ended = True
        else:
            ended = signal.sigtimedwait({signal.SIGCHLD}, limit_s) is not None
    finally:
        if not ended:
            _end(child)
        _, how = os.waitpid(child, 0)
        signal.sigtimedwait({signal.SIGCHLD}, 0)  # one that is left would end the next run
        status = os.waitstatus_to_exitcode(how) if ended else None
    return Answer(status=status, seconds=monotonic() - began)


def _end(child: int) -> None:
    try:
        os.killpg(child, signal.SIGKILL)
    except ProcessLookupError:  # it has not made a group of its own yet
        os.kill(child, signal.SIGKILL)


def _run_tests(question: Question) -> None:
    os.setpgid(0, 0)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGCHLD})
    output = os.open(Path(question["output"]), os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    for stream in (1, 2):
        os.dup2(output, stream)
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    sys.dont_write_bytecode = not question["bytecode_kept"]
    importlib.invalidate_caches()
    status = 1
    try:
        status = int(pytest.main([*_ALWAYS, *question["paths"]]))
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


if __name__ == "__main__":
    main()
