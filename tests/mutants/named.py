"""Faults that a trainer would fear, each as a text of the code and what could stand there."""

from dataclasses import dataclass
from pathlib import Path

from tests.mutants.mutant import Mutant


class StaleFaultError(Exception):
    """A named fault no longer fits the code: its text is gone, or stands there twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """A fault with a name."""

    name: str
    file: str
    old: str
    new: str


def named_mutant(fault: Named, root: Path) -> Mutant:
    """Return the mutant of a named fault.

    Raises:
        StaleFaultError: the text is not there exactly once; write the fault anew.
    """
    source = (root / fault.file).read_text(encoding="utf-8")
    times = source.count(fault.old)
    if times != 1:
        raise StaleFaultError(
            f"{fault.file} holds {fault.old!r} {times} times; write '{fault.name}' anew."
        )
    before, after = source.split(fault.old)
    number = before.count("\n")
    return Mutant(
        file=fault.file,
        line_number=number + 1,
        line=source.splitlines()[number].strip(),
        old=fault.old,
        new=fault.new,
        text=f"{before}{fault.new}{after}",
        name=fault.name,
    )
