"""Whatever a cell becomes, it is either told or taken in, and nothing is stored by halves."""

import csv
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from service.intake.faults import IntakeError
from service.intake.folder import read_folder
from tests.unit.intake.folders import (
    FILES,
    RULES,
    a_database,
    a_folder,
    faults_of,
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
TELLS_TOO = {
    # the row that names a key is at fault too where the key itself was changed
    "areas.csv": {"households.csv"},
    "households.csv": {"phones.csv", "plots.csv", "plantings.csv", "containers.csv"},
    "phones.csv": {"consents.csv", "plots.csv", "containers.csv", "households.csv"},
    "plots.csv": {"plantings.csv"},
    "association.csv": {"phones.csv", "consents.csv"},
}


@pytest.mark.slow
@given(cell=st.sampled_from(CELLS), value=VALUES)
@example(cell=("plantings.csv", 2, 4), value="9999-12-31")
@example(cell=("consents.csv", 2, 2), value="0001-01-01")
@example(cell=("plots.csv", 2, 3), value="1e9")
def test_a_corrupted_cell_is_told_or_taken_in(cell: tuple[str, int, int], value: str) -> None:
    file, row, place = cell
    with TemporaryDirectory() as name:
        folder = a_folder(Path(name))
        column = next(csv.reader(FILES[file].splitlines()))[place]
        set_cell(folder, file, row, column, value)

        told = faults_of(folder)

        if told:
            assert {fault.file for fault in told} & ({file} | TELLS_TOO.get(file, set()))
            assert all(fault.sentence.strip() for fault in told)
            return
        with a_database(Path(name)) as sessions:
            first = store(sessions, read_folder(folder, RULES))
            again = store(sessions, read_folder(folder, RULES))
        assert (again.added, again.changed, again.unchanged) == (0, 0, first.added)


@pytest.mark.slow
@given(cell=st.sampled_from(CELLS), value=VALUES)
@settings(max_examples=40)
def test_a_corrupted_cell_over_what_stands_leaves_it_whole(
    cell: tuple[str, int, int], value: str
) -> None:
    file, row, place = cell
    with TemporaryDirectory() as name, a_database(Path(name)) as sessions:
        folder = a_folder(Path(name))
        store(sessions, read_folder(folder, RULES))
        with sessions.read() as session:
            before = table_sizes(session)
        column = next(csv.reader(FILES[file].splitlines()))[place]
        set_cell(folder, file, row, column, value)
        whole = True

        try:
            store(sessions, read_folder(folder, RULES))
        except IntakeError:
            whole = False

        with sessions.read() as session:
            after = table_sizes(session)
        assert whole or after == before
        assert all(after[table] >= rows for table, rows in before.items())
