"""A season that is killed and started again ends as one that was not.

May differ: how many texts are `unknown`, and the calls about them. Must never happen: a text lost,
a text submitted twice, another harvest day, another litre.
"""

import os
import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
LIMIT_S = 900

# a count in the thick of the season, at each marked point of the work
CRASHES = {
    "after-claim": "after-claim:130",
    "after-submit": "after-submit:170",
    "after-receipt": "after-receipt:900",
}


def _season(data: Path, crash: str = "") -> subprocess.CompletedProcess[str]:
    environment = {
        **os.environ,
        "FURROWBELL_DEMO_FOLDER": str(ROOT / "deploy"),
        "FURROWBELL_REHEARSE_CRASH": crash,
    }
    return subprocess.run(  # noqa: S603 -- our own command, with our own words
        [sys.executable, "-m", "service.cli.main", "demo", "--season", "--data", str(data)],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
        timeout=LIMIT_S,
    )


def _killed_and_resumed(data: Path, crash: str) -> tuple[int, int, str]:
    killed = _season(data, crash)
    resumed = _season(data)
    return killed.returncode, resumed.returncode, resumed.stdout


def _summary(output: str) -> list[str]:
    return output[output.index("\nTexts sent") :].splitlines()


def _without_unknown(output: str) -> list[str]:
    return [line for line in _summary(output) if "unknown" not in line]


@pytest.mark.slow
@pytest.mark.long
def test_a_season_killed_at_any_marked_point_ends_in_the_same_summary(tmp_path: Path) -> None:
    with ThreadPoolExecutor(max_workers=2) as pool:
        whole = pool.submit(_season, tmp_path / "whole")
        others = {
            point: pool.submit(_killed_and_resumed, tmp_path / point, crash)
            for point, crash in CRASHES.items()
        }
        expected = whole.result()
        found = {point: other.result() for point, other in others.items()}

    assert expected.returncode == 0, expected.stdout[-2000:]
    for killed, resumed, output in found.values():
        assert (killed, resumed) == (-signal.SIGKILL, 0), output[-2000:]
        assert _without_unknown(output) == _without_unknown(expected.stdout)
    unknown = {
        point: any("texts unknown" in line for line in _summary(output))
        for point, (_, _, output) in found.items()
    }
    assert unknown == {"after-claim": True, "after-submit": True, "after-receipt": False}
