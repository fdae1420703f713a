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
from tests.faults.seasons import played, whole_season, without_unknown

# a count in the thick of the season at each marked point of the work, counted from its own start
CRASHES = ("after-claim:130", "after-submit:170", "after-receipt:300")


def _unknown(data: Path) -> int:
    sessions = Sessions(open_engine(f"sqlite:///{data / 'season' / DATABASE}"))
    with sessions.read() as session:
        found = sum(row.state is State.UNKNOWN for row in all_messages(session, 1))
    sessions.engine.dispose()
    return found


@pytest.mark.slow
@pytest.mark.long
def test_a_season_killed_at_each_marked_point_ends_in_the_same_summary(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    unknown = []
    for crash in CRASHES:
        killed = played(tmp_path, crash=crash)
        assert killed.returncode == -signal.SIGKILL, killed.stdout[-2000:]
        unknown.append(_unknown(tmp_path))
    resumed = played(tmp_path)
    unknown.append(_unknown(tmp_path))

    assert resumed.returncode == 0, resumed.stdout[-2000:]
    whole = whole_season(tmp_path_factory)
    assert without_unknown(resumed.stdout) == without_unknown(whole.output)
    # in doubt is what a claim or a submit was cut off in; a receipt comes again
    before, claimed, submitted, received = unknown
    assert before == 0
    assert 0 < claimed < submitted == received, unknown
