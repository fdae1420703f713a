"""All trials of a run: tried without a mutant first, then shared among copies of the project."""

import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue
from tempfile import TemporaryDirectory

from tests.mutants.mutant import Mutant
from tests.mutants.trial import Copy, Stage, Verdict

_LEAST_LIMIT_S = 30.0
_TIMES_USUAL = 5.0  # a busy machine is slow now and then; an endless loop is far slower


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """What is copied, and which tests are for which file."""

    root: Path
    files: Sequence[Path]
    stages_of: Callable[[str], Sequence[Stage]]


def run_trials(
    project: Project, mutants: Sequence[Mutant], *, workers: int, say: Callable[[str], None]
) -> Iterator[Verdict]:
    """Yield what became of each mutant, as soon as it is known.

    Raises:
        TrialError: the tests fail without a mutant, or did not test the copy.
    """
    stages = {mutant.file: project.stages_of(mutant.file) for mutant in mutants}
    with TemporaryDirectory(prefix="mutants-") as folder, ExitStack() as lent:
        first = _copied(project, Path(folder).resolve() / "0")
        lent.callback(first.close)
        limits_s = _limits(first, stages, say)
        copies = [first]
        for number in range(1, workers):
            copies.append(first.twin(first.folder.with_name(str(number))))
            lent.callback(copies[-1].close)
        free: SimpleQueue[Copy] = SimpleQueue()
        for copy in copies:
            free.put(copy)

        def tried(mutant: Mutant) -> Verdict:
            with _taken(free) as copy:
                return copy.try_mutant(mutant, stages[mutant.file], limits_s=limits_s)

        pool = ThreadPoolExecutor(max_workers=workers)
        try:
            for done in as_completed([pool.submit(tried, mutant) for mutant in mutants]):
                yield done.result()
        finally:
            pool.shutdown(wait=False, cancel_futures=True)
            for copy in copies:
                copy.stop()
            pool.shutdown()


def _copied(project: Project, folder: Path) -> Copy:
    for file in project.files:
        place = folder / file.relative_to(project.root)
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(file, place)
    return Copy(folder)


def _limits(
    copy: Copy, stages: Mapping[str, Sequence[Stage]], say: Callable[[str], None]
) -> dict[Stage, float]:
    limits_s: dict[Stage, float] = {}
    for stage in sorted({stage for some in stages.values() for stage in some}):
        usual_s = copy.try_bare(stage)
        if usual_s < _LEAST_LIMIT_S:  # the first run compiles, too
            usual_s = copy.try_bare(stage)
        limits_s[stage] = max(_LEAST_LIMIT_S, _TIMES_USUAL * usual_s)
        say(f"{usual_s:6.1f} s without a mutant: {' '.join(stage)}")
    return limits_s


@contextmanager
def _taken(free: SimpleQueue[Copy]) -> Iterator[Copy]:
    copy = free.get()
    try:
        yield copy
    finally:
        free.put(copy)
