"""Which tests try a mutant, those first that are most likely to notice it."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from tests.mutants.trial import Stage

# Tests under the name of the file that they are for are found by that name.
_NEAR: Mapping[str, tuple[str, ...]] = {
    "agronomy": ("tests/unit/agronomy",),
    "planning": ("tests/unit/planning/test_*.py",),
    "confirmations": ("tests/unit/confirmations",),
    "outbox": ("tests/unit/outbox",),
    "dispatch": ("tests/unit/dispatch",),
}
_FURTHER: Mapping[str, tuple[str, ...]] = {
    "agronomy": ("tests/checks/test_agronomy_*.py", "tests/acceptance/test_agronomy.py"),
    "planning": ("tests/unit/confirmations",),
    "confirmations": ("tests/unit/planning/test_*.py",),
    "outbox": ("tests/unit/dispatch",),
    "dispatch": ("tests/unit/outbox",),
}
_LAST: Mapping[str, tuple[str, ...]] = {
    "agronomy": (
        "tests/unit/planning/test_*.py",
        "tests/unit/confirmations",
        "tests/acceptance/test_agronomy_*.py",
        "tests/properties",
    ),
    "planning": ("tests/unit/agronomy", "tests/acceptance/test_agronomy_*.py", "tests/properties"),
    "confirmations": ("tests/acceptance/test_agronomy_*.py", "tests/properties"),
    "outbox": ("tests/acceptance/test_message.py", "tests/faults/test_many_workers.py"),
    "dispatch": ("tests/acceptance/test_message.py", "tests/faults/test_many_workers.py"),
}
_ALSO: Mapping[str, tuple[str, ...]] = {
    "service/planning/send_window.py": ("tests/unit/inbound",),  # its spans are used there
}
_SLOW = ("tests/unit/planning/test_bulk.py",)  # a database for each of its many cases


def stages_of(file: str, root: Path) -> list[Stage]:
    """Return the tests for a file, in the order in which they run."""
    package, stem = Path(file).parent.name, Path(file).stem
    folder = f"tests/unit/{package}"
    own = [f"{folder}/test_edges_{stem}*.py", f"{folder}/test_{stem}*.py"]  # the pure ones first
    wide = (_NEAR[package], _ALSO.get(file, ()), _FURTHER[package], _LAST[package])
    stages = [
        _found(root, own),
        *(tuple(test for test in _found(root, each) if test not in _SLOW) for each in wide),
        _found(root, _SLOW),
    ]
    return [stage for stage in stages if stage]


def _found(root: Path, patterns: Sequence[str]) -> Stage:
    return tuple(
        path.relative_to(root).as_posix()
        for pattern in patterns
        for path in sorted(root.glob(pattern))
    )
