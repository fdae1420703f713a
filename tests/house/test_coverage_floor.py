"""The floor on branch coverage, on reports of a few made-up files."""

import json
from pathlib import Path

import pytest

from tests.house import coverage_floor
from tests.house.coverage_floor import PACKAGES, Report


def a_report(**files: tuple[int, int]) -> Report:
    """Return a report with (covered, all) branches by file; `__` in a name stands for a slash."""
    return {
        "files": {
            f"{name.replace('__', '/')}.py": {
                "summary": {"covered_branches": covered, "num_branches": branches}
            }
            for name, (covered, branches) in files.items()
        }
    }


@pytest.mark.parametrize(
    ("covered", "kept"),
    [
        pytest.param(95, True, id="at the floor"),
        pytest.param(94, False, id="one branch under it"),
        pytest.param(100, True, id="everything"),
    ],
)
def test_a_package_of_a_hundred_branches_needs_ninety_five(covered: int, kept: bool) -> None:  # noqa: FBT001 -- a row of the table above
    report = a_report(service__outbox__claim=(covered, 100))

    assert coverage_floor.verdict(report, "service/outbox")[0] is kept


def test_a_share_just_under_the_floor_is_not_rounded_up() -> None:
    """9,499 of 10,000 is 94.99 %, which prints as 95.0 %."""
    report = a_report(service__outbox__claim=(9_499, 10_000))

    assert coverage_floor.verdict(report, "service/outbox") == (
        False,
        "service/outbox: 9499 of 10000 branches (95.0 %), is under the floor of 95 %.",
    )


def test_the_files_of_one_package_are_added_up_and_no_others() -> None:
    report = a_report(
        service__outbox__claim=(90, 100),
        service__outbox__retry=(100, 100),
        service__outbox_too__claim=(0, 100),
        service__inbound__handler=(0, 100),
    )

    assert coverage_floor.verdict(report, "service/outbox") == (
        True,
        "service/outbox: 190 of 200 branches (95.0 %), keeps the floor of 95 %.",
    )


def test_a_package_without_a_measured_branch_is_under_the_floor() -> None:
    report: Report = {"files": {"service/outbox/claim.py": {"summary": {}}}}

    assert coverage_floor.verdict(report, "service/outbox") == (
        False,
        "service/outbox: no branch was measured; run with branch coverage over it.",
    )


@pytest.mark.parametrize(
    ("covered", "status"), [pytest.param(20, 0, id="kept"), pytest.param(1, 1, id="one under it")]
)
def test_the_exit_status_tells_whether_all_keep_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], covered: int, status: int
) -> None:
    files = {f"{package}/a".replace("/", "__"): (20, 20) for package in PACKAGES}
    files["service__inbound__a"] = (covered, 20)
    page = tmp_path / "coverage.json"
    page.write_text(json.dumps(a_report(**files)))

    assert coverage_floor.main([str(page)]) == status
    assert len(capsys.readouterr().out.splitlines()) == len(PACKAGES)
