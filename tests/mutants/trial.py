"""One mutant's trial: its text is put into a copy of the project, and tests are run there."""

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.mutants.guard import COPY, STRANGER
from tests.mutants.mutant import Mutant
from tests.mutants.nursery import Answer, Question

_PASSED, _NOTHING_RUN = 0, 5
_FAULT = re.compile(r"^(?:FAILED|ERROR) (.+?)(?: - .*)?$", re.MULTILINE)
_MOST_SHOWN = 2_000

Stage = tuple[str, ...]
"""Paths of tests, run together."""


class TrialError(Exception):
    """The tests say nothing: they fail without a mutant, or test another copy's code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What became of a mutant; `killed_by` is None if it survived."""

    mutant: Mutant
    killed_by: str | None
    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    status: int | None  # None where the time was up
    output: str
    seconds: float


class Copy:
    """A copy of the project in a folder of its own, and the process that runs tests there."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._output = folder.with_name(f"{folder.name}.output")
        self._nursery = subprocess.Popen(
            [sys.executable, "-m", "tests.mutants.nursery"],
            cwd=folder,
            env={
                **os.environ,
                "PYTHONPATH": str(folder),
                COPY: str(folder),
                "COLUMNS": "500",  # so that no test's name is cut short
            },
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )

    def try_bare(self, stage: Stage) -> float:
        """Return how many seconds the tests take without a mutant.

        Raises:
            TrialError: they fail, or there are none.
        """
        run = self._run(stage, limit_s=None, bytecode_kept=True)
        if run.status != _PASSED:
            shown = run.output[-_MOST_SHOWN:]
            raise TrialError(f"These tests fail without a mutant: {' '.join(stage)}\n{shown}")
        return run.seconds

    def try_mutant(
        self, mutant: Mutant, stages: Sequence[Stage], *, limits_s: Mapping[Stage, float]
    ) -> Verdict:
        """Return whether a test, or the limit of time, kills a mutant.

        Raises:
            TrialError: the tests ran on something else than the copy's code.
        """
        file = self.folder / mutant.file
        whole = file.read_text(encoding="utf-8")
        # the same size within the same second would pass for the file as it was
        for compiled in file.parent.glob(f"__pycache__/{file.stem}.*.pyc"):
            compiled.unlink()
        file.write_text(mutant.text, encoding="utf-8")
        seconds = 0.0
        try:
            for stage in stages:
                run = self._run(stage, limit_s=limits_s[stage], bytecode_kept=False)
                seconds += run.seconds
                killer = _killer(run, stage)
                if killer is not None:
                    return Verdict(mutant=mutant, killed_by=killer, seconds=seconds)
        finally:
            file.write_text(whole, encoding="utf-8")
        return Verdict(mutant=mutant, killed_by=None, seconds=seconds)

    def twin(self, folder: Path) -> "Copy":
        """Return another copy like this one, compiled files included."""
        shutil.copytree(self.folder, folder)
        return Copy(folder)

    def stop(self) -> None:
        """End the tests that run here, and begin no others."""
        self._nursery.terminate()
        self._nursery.wait()

    def close(self) -> None:
        """Give back what the operating system lent; nothing runs here any more."""
        with self._nursery:
            self.stop()

    def _run(self, stage: Stage, *, limit_s: float | None, bytecode_kept: bool) -> _Run:
        asked, answers = self._nursery.stdin, self._nursery.stdout
        if asked is None or answers is None:
            raise ValueError("the nursery has no pipes")
        question = Question(
            paths=list(stage),
            output=str(self._output),
            limit_s=limit_s,
            bytecode_kept=bytecode_kept,
        )
        try:
            asked.write(f"{json.dumps(question)}\n")
            asked.flush()
            answer: Answer = json.loads(answers.readline())
        except (BrokenPipeError, ValueError) as error:
            raise TrialError("The process that runs the tests has ended.") from error
        output = self._output.read_text(encoding="utf-8", errors="replace")
        return _Run(status=answer["status"], output=output, seconds=answer["seconds"])


def _killer(run: _Run, stage: Stage) -> str | None:
    if run.status is None:
        return "the limit of time"
    if run.status in {STRANGER, _NOTHING_RUN}:
        raise TrialError(f"{' '.join(stage)} tested nothing of the copy:\n{run.output}")
    if run.status == _PASSED:
        return None
    found = _FAULT.search(run.output)
    return found[1] if found is not None else "the import"
