"""Whatever a cell becomes, it is either told or taken in, and nothing is stored by halves."""

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import example, given
from hypothesis import strategies as st

from service.intake.faults import IntakeError
from service.intake.folder import read_folder
from service.records.engine import Sessions
from tests.unit.intake.folders import (
    FILES,
    RULES,
    a_database,
    a_folder,
    set_cell,
    store,
    table_sizes,
)

CELLS = [
    (file, row, column)
    for file, text in FILES.items()
    for row, cells in enumerate(csv.reader(text.splitlines()), start=1)
    for column in range(len(cells))
]
NEAR_MISSES = st.sampled_from(
    ["", "0", "-1", "1e9", "nan", "inf", "yes", "H1", "H2", "P1", "A", "D", "2027-02-29",
     "0001-01-01", "9999-12-31", "2027-03-16", "+255100000001", "2.55E+11", "=1", "'", '"',
     "\u0663", "\ufeff", "\u202e", "sold-any", "kale", "18:00", "1;2", "None"]
)  # fmt: skip
VALUES = st.one_of(NEAR_MISSES, st.text(max_size=12))
REFUSED_ELSEWHERE = {
    # the row that names a key is at fault too where the key itself was changed
    "areas.csv": {"households.csv"},
    "households.csv": {"phones.csv", "plots.csv", "plantings.csv", "containers.csv"},
    "phones.csv": {"consents.csv", "plots.csv", "containers.csv", "households.csv"},
    "plots.csv": {"plantings.csv"},
    "association.csv": {"phones.csv", "consents.csv"},
}


@contextmanager
def a_place() -> Iterator[tuple[Path, Sessions]]:
    with TemporaryDirectory() as name, a_database(Path(name)) as sessions:
        yield a_folder(Path(name)), sessions


@given(cell=st.sampled_from(CELLS), value=VALUES)
@example(cell=("plantings.csv", 2, 4), value="9999-12-31")
@example(cell=("consents.csv", 2, 2), value="0001-01-01")
@example(cell=("plots.csv", 2, 3), value="1e9")
def test_a_corrupted_cell_is_told_or_taken_in(cell: tuple[str, int, int], value: str) -> None:
    file, row, place = cell
    with a_place() as (folder, sessions):
        with sessions.read() as session:
            empty = table_sizes(session)
        column = next(csv.reader(FILES[file].splitlines()))[place]
        set_cell(folder, file, row, column, value)

        try:
            result = store(sessions, read_folder(folder, RULES))
        except IntakeError as error:
            files = {fault.file for fault in error.faults}
            assert files & ({file} | REFUSED_ELSEWHERE.get(file, set()))
            assert all(
                fault.sentence.endswith(".") or "?" in fault.sentence for fault in error.faults
            )
            with sessions.read() as session:
                assert table_sizes(session) == empty
        else:
            again = store(sessions, read_folder(folder, RULES))
            assert (again.added, again.changed) == (0, 0)
            assert again.unchanged == result.added
