"""Small faults in a table of the trade's figures: each number one more and one less."""

import re
from collections.abc import Iterator

from tests.mutants.mutant import Mutant

_LINE = re.compile(r"^(\w+) = ([^#]*?)(\s*#.*)?$")
_WORDS = frozenset({"source", "found"})
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_TRUTH = {"true": "false", "false": "true"}


def figure_mutants_of(file: str, source: str) -> list[Mutant]:
    """Return every mutant of a TOML table, in the order of its lines."""
    return list(_mutants(file, source.splitlines()))


def _mutants(file: str, lines: list[str]) -> Iterator[Mutant]:
    for place, line in enumerate(lines):
        found = _LINE.match(line)
        if found is None or found[1] in _WORDS:
            continue
        for value in _others(found[2]):
            new = f"{found[1]} = {value}"
            changed = [*lines[:place], new, *lines[place + 1 :]]
            yield Mutant(
                file=file,
                line_number=place + 1,
                line=line.strip(),
                old=found[2],
                new=value,
                text="\n".join(changed) + "\n",
            )


def _others(value: str) -> Iterator[str]:
    if value in _TRUTH:
        yield _TRUTH[value]
    for number in _NUMBER.finditer(value):
        for step in (1, -1):
            other = float(number[0]) + step if "." in number[0] else int(number[0]) + step
            yield f"{value[: number.start()]}{other}{value[number.end() :]}"
