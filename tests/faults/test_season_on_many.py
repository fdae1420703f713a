"""The demo over two `work`, one `web` and PostgreSQL: any one of them may be killed at any moment.

May differ from a season in one process: how many texts are `unknown`, and the calls about them.
Must never happen: a text lost, a text submitted twice, another harvest day, another litre.
"""

import os
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from datetime import datetime, time
from hashlib import sha256
from pathlib import Path
from signal import SIGINT
from threading import Event
from time import monotonic

import pytest

from service.agronomy.calendar import add_days
from service.cli.demo_season import SEASON_START, ZONE
from tests.faults.ledger import network_of
from tests.faults.many import Many, lives, running
from tests.faults.seasons import command, played, without_unknown

SEED = 20_270_222
STRUCK = ("work-1", "work-2", "web")
BUSY = (time(6, 30), time(12), time(18))  # planning, answers, reminders
FIRST_DAY = 4  # by then the invitations are answered
QUIET_DAYS = 2  # at the end: a lease is over before the table is made
THICK_DAYS = 120  # of a whole season, in which most of its texts go to and fro
LONGEST_STEP_MS = 300
ENDED_S = 12

pytestmark = [pytest.mark.slow, pytest.mark.long]


@pytest.fixture
def data() -> Iterator[Path]:
    """A folder that PostgreSQL's user may enter, as that of a test is not."""
    folder = Path(tempfile.mkdtemp(prefix="furrowbell-many-"))
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


def test_a_season_whose_processes_are_killed_ends_as_one_in_one_process(
    data: Path, season_days: int
) -> None:
    days = ["--days", str(season_days)]
    expected = played(data / "one", *days)
    assert expected.returncode == 0, expected.stdout[-2000:]

    with running(command("demo-many", data / "many", *days), data / "many" / "many-season") as many:
        for turn, name in sorted(enumerate(STRUCK), key=lambda one: _moment(one[0], season_days)):
            many.wait_for(lambda: "web was started" in many.output)
            many.wait_until(_moment(turn, season_days))
            Event().wait(_drawn("pause", turn, LONGEST_STEP_MS) / 1000)
            many.kill(name)
        status = many.process.wait()

    assert status == 0, many.output[-3000:]
    assert without_unknown(many.output) == without_unknown(expected.stdout)
    assert "Every rule of the season held." in many.output  # among them: no text lost
    sent = Counter(text.token for text in network_of(many.home / "network").submitted())
    assert sent
    assert set(sent.values()) == {1}
    _all_are_gone(many)


def test_asked_to_end_everything_that_was_started_ends(data: Path) -> None:
    words = [sys.executable, "-m", "service.cli.main", "demo-many", "--data", str(data)]
    with running(words, data / "many-live") as many:
        many.wait_for(lambda: "to +2551000000" in many.output)
        many.kill("work-1")
        numbers = many.numbers()
        began = monotonic()
        os.kill(many.process.pid, SIGINT)
        status = many.process.wait()

    assert status == 0, many.output
    assert monotonic() - began < ENDED_S
    assert set(numbers) == {"postgresql", *STRUCK}
    assert "is killed" not in many.output  # each ended by itself when it was asked to
    _all_are_gone(many)


def _moment(turn: int, days: int) -> datetime:
    """Return the instant, in the thick of a day's work, after which a process is killed."""
    ahead = FIRST_DAY + _drawn("day", turn, min(days, THICK_DAYS) - FIRST_DAY - QUIET_DAYS)
    clock = BUSY[_drawn("clock", turn, len(BUSY))]
    return datetime.combine(add_days(SEASON_START.date(), ahead), clock, tzinfo=ZONE)


def _drawn(what: str, turn: int, below: int) -> int:
    return int.from_bytes(sha256(f"{SEED}:{what}:{turn}".encode()).digest()[:6]) % below


def _all_are_gone(many: Many) -> None:
    assert [number for number in many.all_numbers() if lives(number)] == []
