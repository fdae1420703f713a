"""A season that is killed and started again ends as one that was not.

May differ: how many texts are `unknown`, and the calls about them. Must never happen: a text lost,
a text submitted twice, another harvest day, another litre.
"""

import signal
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.faults.seasons import played, summary_of, without_unknown

# a count in the thick of the season, at each marked point of the work
CRASHES = {
    "after-claim": "after-claim:130",
    "after-submit": "after-submit:170",
    "after-receipt": "after-receipt:900",
}


def _killed_and_resumed(data: Path, crash: str) -> tuple[int, int, str]:
    killed = played(data, crash=crash)
    resumed = played(data)
    return killed.returncode, resumed.returncode, resumed.stdout


@pytest.mark.slow
@pytest.mark.long
def test_a_season_killed_at_any_marked_point_ends_in_the_same_summary(tmp_path: Path) -> None:
    with ThreadPoolExecutor(max_workers=2) as pool:
        whole = pool.submit(played, tmp_path / "whole")
        others = {
            point: pool.submit(_killed_and_resumed, tmp_path / point, crash)
            for point, crash in CRASHES.items()
        }
        expected = whole.result()
        found = {point: other.result() for point, other in others.items()}

    assert expected.returncode == 0, expected.stdout[-2000:]
    for killed, resumed, output in found.values():
        assert (killed, resumed) == (-signal.SIGKILL, 0), output[-2000:]
        assert without_unknown(output) == without_unknown(expected.stdout)
    unknown = {
        point: any("texts unknown" in line for line in summary_of(output))
        for point, (_, _, output) in found.items()
    }
    assert unknown == {"after-claim": True, "after-submit": True, "after-receipt": False}
