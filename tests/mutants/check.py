"""Plant faults in the rules, one at a time, and ask whether a test notices.

Only copies are changed. The exit status is 1 if a fault survives that is not on the list of
equivalent ones, 2 if the run says nothing: tests that fail by themselves, or lists that are stale.
"""

import argparse
import signal
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from hashlib import sha256
from pathlib import Path
from time import monotonic

from tests.house.repository import ROOT, kept_files
from tests.mutants.campaign import Project, run_trials
from tests.mutants.chosen_tests import stages_of
from tests.mutants.equivalents import proofs
from tests.mutants.figures import figure_mutants_of
from tests.mutants.mutant import Mutant
from tests.mutants.named import StaleFaultError, named_mutant
from tests.mutants.named_list import NAMED
from tests.mutants.sites import mutants_of
from tests.mutants.trial import TrialError, Verdict

_FOLDERS = ("service/agronomy", "service/planning")
_TABLES = ("service/agronomy/rules.toml", "service/agronomy/regimes.toml")
_COPIED = ("gateway_adapters", "locales", "pyproject.toml", "service", "tests")


def files_to_change(root: Path) -> list[str]:
    """Return the files whose faults are planted by rule."""
    code = (path for folder in _FOLDERS for path in sorted((root / folder).glob("*.py")))
    return [*(path.relative_to(root).as_posix() for path in code), *_TABLES]


def made_mutants(root: Path, files: Iterable[str]) -> list[Mutant]:
    """Return every mutant that the operators make of these files."""
    found: list[Mutant] = []
    for file in files:
        source = (root / file).read_text(encoding="utf-8")
        found += (figure_mutants_of if file.endswith(".toml") else mutants_of)(file, source)
    return found


def sampled(mutants: Sequence[Mutant], *, most: int, seed: str) -> list[Mutant]:
    """Return so many of the mutants, the same ones for the same seed."""

    def lot(mutant: Mutant) -> bytes:
        return sha256(f"{seed} {mutant.line_number} {mutant.change}".encode()).digest()

    drawn = set(sorted(mutants, key=lot)[:most])
    return [mutant for mutant in mutants if mutant in drawn]


def table(verdicts: Sequence[Verdict], equivalent: Sequence[Mutant]) -> str:
    """Return the counts, a line for each file."""
    killed = Counter(each.mutant.file for each in verdicts if each.killed_by is not None)
    survived = Counter(each.mutant.file for each in verdicts if each.killed_by is None)
    proved = Counter(mutant.file for mutant in equivalent)
    rows = [f"{'file':44}{'mutants':>9}{'killed':>9}{'equivalent':>12}{'survived':>10}"]
    for file in sorted({*killed, *survived, *proved}):
        counts = (killed[file], proved[file], survived[file])
        rows.append(f"{file:44}{sum(counts):9}{counts[0]:9}{counts[1]:12}{counts[2]:10}")
    sums = (killed.total(), proved.total(), survived.total())
    rows.append(f"{'all':44}{sum(sums):9}{sums[0]:9}{sums[1]:12}{sums[2]:10}")
    return "\n".join(rows)


def _asked(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="tests/mutants/run", description=__doc__)
    parser.add_argument("--named", action="store_true", help="only the faults with a name")
    parser.add_argument("--only", metavar="FILE", action="append", help="only this file's faults")
    parser.add_argument("--sample", metavar="N", type=int, help="only so many, drawn by the seed")
    parser.add_argument("--seed", metavar="S", default="1", help="decides the draw; usually 1")
    parser.add_argument("--workers", metavar="N", type=int, default=2, help="at a time; usually 2")
    parser.add_argument("--stages", metavar="N", type=int, help="only the first, quickest tests")
    parser.add_argument("--equivalent", action="store_true", help="try the equivalent ones instead")
    parser.add_argument("--list", action="store_true", help="show the faults and try none")
    return parser.parse_args(arguments)


def _chosen(asked: argparse.Namespace) -> list[Mutant]:
    mutants = [named_mutant(fault, ROOT) for fault in NAMED]
    if not asked.named:
        mutants += made_mutants(ROOT, files_to_change(ROOT))
    if asked.only:
        mutants = [mutant for mutant in mutants if mutant.file in asked.only]
    if asked.sample is not None:
        mutants = sampled(mutants, most=asked.sample, seed=asked.seed)
    return mutants


def main(arguments: Sequence[str]) -> int:
    """Try the mutants that the arguments ask for; return the exit status."""
    asked, known = _asked(arguments), proofs()
    try:
        mutants = _chosen(asked)
    except StaleFaultError as error:
        _say(str(error))
        return 2
    equivalent = [mutant for mutant in mutants if mutant.change in known]
    tried = [mutant for mutant in mutants if (mutant.change in known) is asked.equivalent]
    if asked.list:
        for mutant in tried:
            _say(mutant.shown())
        return 0
    project = Project(
        root=ROOT,
        files=[f for f in kept_files(ROOT) if f.relative_to(ROOT).parts[0] in _COPIED],
        stages_of=lambda file: stages_of(file, ROOT)[: asked.stages],
    )
    began, verdicts = monotonic(), []
    try:
        for verdict in run_trials(project, tried, workers=asked.workers, say=_say):
            verdicts.append(verdict)
            fate = f"killed by {verdict.killed_by}" if verdict.killed_by else "SURVIVED"
            _say(f"{verdict.mutant.shown()}  {fate}  ({verdict.seconds:.1f} s)")
    except TrialError as error:
        _say(str(error))
        return 2
    except KeyboardInterrupt:
        _say("Stopped.")
        return 130
    return _closing(verdicts, equivalent, asked, monotonic() - began)


def _closing(
    verdicts: Sequence[Verdict],
    equivalent: Sequence[Mutant],
    asked: argparse.Namespace,
    seconds: float,
) -> int:
    if asked.equivalent:
        wrong = [verdict for verdict in verdicts if verdict.killed_by is not None]
        _say(f"{len(verdicts)} equivalent mutants tried, {len(wrong)} of them noticed by a test")
        return 1 if wrong else 0
    survivors = [verdict for verdict in verdicts if verdict.killed_by is None]
    _say(f"\n{table(verdicts, equivalent)}\n")
    for verdict in survivors:
        _say(f"SURVIVED {verdict.mutant.shown()}\n    {verdict.mutant.line}")
    _say(f"{len(survivors)} survivors, {seconds / 60:.1f} minutes")
    return 1 if survivors else 0


def _say(sentence: str) -> None:
    sys.stdout.write(f"{sentence}\n")


if __name__ == "__main__":
    for ending in (signal.SIGINT, signal.SIGTERM):  # both end the tests in the copies as well
        signal.signal(ending, signal.default_int_handler)
    sys.exit(main(sys.argv[1:]))
