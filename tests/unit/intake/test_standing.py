"""A folder that contradicts what stands in the records is refused, and nothing of it stays."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from service.intake.faults import IntakeError
from service.intake.folder import read_folder
from service.records.engine import Sessions
from service.records.fields import PlantingRow
from tests.unit.intake.folders import (
    RULES,
    a_folder,
    add_row,
    places,
    rows_of,
    set_cell,
    store,
    table_sizes,
)


def drop_last_row(folder: Path, file: str) -> None:
    lines = (folder / file).read_text(encoding="utf-8").splitlines()
    (folder / file).write_text("\n".join(lines[:-1]) + "\n", encoding="utf-8")


def letter_of_a_plot_left_out(folder: Path) -> None:
    drop_last_row(folder, "plantings.csv")
    drop_last_row(folder, "plots.csv")
    add_row(folder, "plots.csv", "H3", "P2", "A", "20", "normal")


def number_of_a_can_left_out(folder: Path) -> None:
    drop_last_row(folder, "containers.csv")
    set_cell(folder, "phones.csv", 2, "households", "H1;H2;H3")
    set_cell(folder, "plots.csv", 4, "letter", "G")
    drop_last_row(folder, "consents.csv")
    drop_last_row(folder, "phones.csv")


def second_planting_while_the_first_is_open(folder: Path) -> None:
    drop_last_row(folder, "plantings.csv")
    late = ("H3", "P1", "2027-2", "kale", "2027-09-01", "rains", "", "", "", "", "", "")
    add_row(folder, "plantings.csv", *late)


@pytest.mark.parametrize(
    ("change", "place"),
    [
        pytest.param(letter_of_a_plot_left_out, ("plots.csv", 4, "letter"), id="letter"),
        pytest.param(number_of_a_can_left_out, ("containers.csv", 2, "number"), id="can number"),
        pytest.param(
            second_planting_while_the_first_is_open, ("plantings.csv", 4, "plot"), id="planting"
        ),
    ],
)
def test_what_stands_counts_although_the_folder_leaves_it_out(
    sessions: Sessions,
    folder: Path,
    change: Callable[[Path], None],
    place: tuple[str, int, str],
) -> None:
    store(sessions, read_folder(folder, RULES))
    with sessions.read() as session:
        before = table_sizes(session)
    change(folder)
    found = read_folder(folder, RULES)

    with pytest.raises(IntakeError) as refused:
        store(sessions, found)

    assert places(refused.value.faults) == [place]
    with sessions.read() as session:
        assert table_sizes(session) == before


def test_a_new_season_follows_once_the_planting_is_closed(sessions: Sessions, folder: Path) -> None:
    store(sessions, read_folder(folder, RULES))
    with sessions.begin() as session:
        rows_of(session, PlantingRow)[2].closed_on = date(2027, 8, 1)
    second_planting_while_the_first_is_open(folder)

    result = store(sessions, read_folder(folder, RULES))

    assert (result.added, result.changed_plantings) == (1, (4,))


def test_two_associations_keep_apart(sessions: Sessions, folder: Path, tmp_path: Path) -> None:
    store(sessions, read_folder(folder, RULES))
    (tmp_path / "second").mkdir()
    other = a_folder(tmp_path / "second")
    set_cell(other, "association.csv", 2, "code", "other")

    result = store(sessions, read_folder(other, RULES))

    assert (result.association_id, result.added, result.changed) == (2, 19, 0)
    assert result.changed_plantings == (4, 5, 6)
