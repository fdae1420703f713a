"""A season that is killed three times, and started again each time, ends as one that was not.

May differ: how many texts are `unknown`, and the calls about them. Must never happen: a text lost,
a text submitted twice, another harvest day, another litre.
"""

import signal
from pathlib import Path

import pytest

from service.demo.setting_up import DATABASE
from service.messages.lifecycle import State
from service.records.engine import Sessions, open_engine
from service.records.season_report import all_messages
from tests.faults.seasons import played, without_unknown

# a count at each marked point of the work, from its own start; all three are met in the first weeks
CRASHES = ("after-claim:25", "after-submit:25", "after-receipt:60")


def _unknown(data: Path) -> int:
    sessions = Sessions(open_engine(f"sqlite:///{data / 'season' / DATABASE}"))
    with sessions.read() as session:
        found = sum(row.state is State.UNKNOWN for row in all_messages(session, 1))
    sessions.engine.dispose()
    return found


@pytest.mark.slow
@pytest.mark.long
def test_a_season_killed_at_each_marked_point_ends_in_the_same_summary(
    tmp_path: Path, crash_days: int
) -> None:
    days = ["--days", str(crash_days)]
    whole = played(tmp_path / "whole", *days)
    assert whole.returncode == 0, whole.stdout[-2000:]
    killed_at, unknown = tmp_path / "killed", []
    for crash in CRASHES:
        killed = played(killed_at, *days, crash=crash)
        assert killed.returncode == -signal.SIGKILL, killed.stdout[-2000:]
        unknown.append(_unknown(killed_at))
    resumed = played(killed_at, *days)
    unknown.append(_unknown(killed_at))

    assert resumed.returncode == 0, resumed.stdout[-2000:]
    assert without_unknown(resumed.stdout) == without_unknown(whole.stdout)
    # in doubt is what a claim or a submit was cut off in; a receipt comes again
    before, claimed, submitted, received = unknown
    assert before == 0
    assert 0 < claimed < submitted == received, unknown
