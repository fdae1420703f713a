"""How full the disk of the database file is: 5 % and 100 MB, both choices of this project."""

from pathlib import Path

import pytest

from service.cli.check_disk import disk_findings
from tests.unit.cli.asking import faults

GB = 1_000_000_000
MB = 1_000_000


@pytest.mark.parametrize(
    ("total", "free", "is_well"),
    [
        pytest.param(100 * GB, 5 * GB, True, id="just 5 %"),
        pytest.param(100 * GB, 5 * GB - 1, False, id="a byte under 5 %"),
        pytest.param(GB, 100 * MB, True, id="just 100 MB"),
        pytest.param(GB, 100 * MB - 1, False, id="a byte under 100 MB"),
        pytest.param(50 * MB, 50 * MB, False, id="an empty disk of 50 MB"),
        pytest.param(0, 0, False, id="a disk without a size"),
    ],
)
def test_a_disk_is_nearly_full_below_5_percent_or_100_mb(
    tmp_path: Path, total: int, free: int, *, is_well: bool
) -> None:
    found = disk_findings(tmp_path / "a.db", usage=lambda _: (total, total - free, free))

    assert [finding.is_well for finding in found] == [is_well]


def test_what_is_free_is_said_with_what_to_do(tmp_path: Path) -> None:
    found = disk_findings(tmp_path / "a.db", usage=lambda _: (100 * GB, 98 * GB, 2 * GB))

    assert faults(found) == [
        (
            "The disk of the database file is nearly full: 2000 MB free, 2% of it. Make room before"
            " it is full, for then nothing is sent and nothing that growers report is kept."
        )
    ]


def test_of_a_file_whose_folder_is_missing_the_nearest_folder_is_asked(tmp_path: Path) -> None:
    asked: list[Path] = []

    def usage(folder: Path) -> tuple[int, int, int]:
        asked.append(folder)
        return 100 * GB, 0, 100 * GB

    disk_findings(tmp_path / "no" / "such" / "a.db", usage=usage)

    assert asked == [tmp_path]


def test_the_disk_of_a_server_is_the_servers_affair() -> None:
    (found,) = disk_findings(None)

    assert found.is_well
    assert found.sentence.endswith("that server's own affair.")
