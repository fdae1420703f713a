"""The list of rows in tests/acceptance/README.md, against the ids in the tests' docstrings.

Run as a program (`python -m tests.house.acceptance_rows`) it refills the list's last column.
"""

import ast
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[1] / "acceptance"
LATER = "later"

_ROW = re.compile(r"^\| ([A-Z]\d+) \| (.+) \| (must|beyond) \| (.+) \|$", re.MULTILINE)
_IDS = re.compile(r"^([A-Z]\d+(?:[, ]+[A-Z]\d+)*): ")


def listed_rows(listing: str) -> dict[str, str]:
    """Return the last column of each row by its id.

    Raises:
        ValueError: An id is listed twice.
    """
    rows = [(found[1], found[4]) for found in _ROW.finditer(listing)]
    twice = [row_id for row_id, times in Counter(row_id for row_id, _ in rows).items() if times > 1]
    if twice:
        raise ValueError(f"Listed twice: {', '.join(twice)}.")
    return dict(rows)


def tests_in(source: str) -> Iterator[tuple[str, list[str]]]:
    """Yield the name of each test in a file, and the row ids that its docstring starts with."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            found = _IDS.match(ast.get_docstring(node) or "")
            yield node.name, re.findall(r"[A-Z]\d+", found[1]) if found else []


def files_by_row(sources: Mapping[str, str]) -> dict[str, str]:
    """Return what the last column should say for each row that has a test: its files."""
    names = defaultdict(set)
    for name, source in sources.items():
        for _, row_ids in tests_in(source):
            for row_id in row_ids:
                names[row_id].add(name)
    return {row_id: ", ".join(sorted(files)) for row_id, files in names.items()}


def row_faults(listing: str, sources: Mapping[str, str]) -> list[str]:
    """Return a sentence per test without a known row, and per row whose last column is wrong."""
    listed = listed_rows(listing)
    faults = []
    for file, source in sources.items():
        for test, row_ids in tests_in(source):
            if not row_ids:
                faults.append(
                    f"{file}: {test} needs a docstring that starts with a row id and `: `."
                )
            faults += [
                f"{file}: {test} names {row_id}, which the list lacks."
                for row_id in row_ids
                if row_id not in listed
            ]
    held = files_by_row(sources)
    for row_id, column in listed.items():
        right = held.get(row_id, LATER)
        if column != right:
            faults.append(f"Row {row_id} says {column!r} where it should say {right!r}.")
    return faults


def refilled(listing: str, sources: Mapping[str, str]) -> str:
    """Return the list with its last column made right."""
    held = files_by_row(sources)
    return _ROW.sub(
        lambda row: f"| {row[1]} | {row[2]} | {row[3]} | {held.get(row[1], LATER)} |", listing
    )


def acceptance_sources(folder: Path) -> dict[str, str]:
    """Return the acceptance tests' sources by file name."""
    return {
        path.name: path.read_text(encoding="utf-8") for path in sorted(folder.glob("test_*.py"))
    }


if __name__ == "__main__":
    page = FOLDER / "README.md"
    page.write_text(
        refilled(page.read_text(encoding="utf-8"), acceptance_sources(FOLDER)), encoding="utf-8"
    )
