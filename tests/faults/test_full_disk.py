"""The disk of the records fills up in the thick of the work: nothing leaves that is not recorded.

By SQLite's own limit on a file's pages, for which no disk is needed, with every amount of room
that is left; and on a small disk in memory, where one can be mounted, SQLite and PostgreSQL.
"""

from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import timedelta
from itertools import count
from pathlib import Path
from sqlite3 import Connection
from tempfile import TemporaryDirectory

import pytest
from sqlalchemy import event

from gateway_adapters.fake import FakeGateway
from service.dispatch.dispatcher import Dispatcher, Lane, Watch
from service.messages.lifecycle import State
from service.records.engine import Sessions, open_engine
from service.records.faults import STORE_FAULTS
from service.records.migrate import upgrade
from service.records.traffic import MessageRow
from tests.faults.disks import small_disk
from tests.faults.ledger import Ledger, compare
from tests.faults.moods import MovedClock
from tests.faults.queue import fill
from tests.fresh import fresh_file, on_postgresql
from tests.pg import cluster
from tests.unit.outbox.queue import NOW

TEXTS = 120  # two batches
SPARE_BYTES = (0, 16_384, 65_536, 131_072, 262_144)
SERVER_TEXTS = 3_000  # a server has some room in its files, however full the disk
A_WHILE = timedelta(minutes=3)  # longer than a lease
ALL_SENT = Ledger(sent=TEXTS, waiting=0, over=0, doubt_behind_submit=0, doubt_before_submit=0)

pytestmark = pytest.mark.slow


class Filling:
    """A worker over records that have little room, which comes back when it is asked for."""

    def __init__(self, url: str, make_room: Callable[[], object]) -> None:
        self.sessions = Sessions(open_engine(url))
        self.clock = MovedClock(NOW)
        self.network = FakeGateway(clock=self.clock)
        self._make_room = make_room

    def run(self, *, patient: bool) -> None:
        """Send what is due; one who is patient gets room while an outcome waits to be kept."""
        lane = Lane(
            association_id=1,
            route_id=1,
            name="main",
            sender="15050",
            language="en",
            gateway=self.network,
        )
        pause = (lambda _: self._make_room()) if patient else (lambda _: None)
        watch = Watch(clock=self.clock, pause=pause)
        Dispatcher(self.sessions, lane, render=lambda row: str(row.body), watch=watch).run_once()

    def sent_without_a_claim(self) -> int:
        """Return how many texts have left of which the records hold not even a claim."""
        with self.sessions.read() as session:
            tokens = {
                row.token for row in session.query(MessageRow) if row.state is not State.QUEUED
            }
        return sum(text.token not in tokens for text in self.network.submitted())

    def go_on(self) -> Ledger:
        """Let room come back and time pass; return what became of the texts."""
        self._make_room()
        for _ in range(3):
            self.clock.at += A_WHILE
            self.run(patient=True)
        return compare(self.sessions, self.network)


class Pages:
    """What SQLite lets a file grow to: so many pages more than it has now, or any number."""

    def __init__(self) -> None:
        self.most = 2**30

    def heed(self, filling: Filling) -> None:
        """Hold each connection to the limit, as it stands when the connection is used."""

        def limit(connection: Connection, *_: object) -> None:
            connection.execute(f"PRAGMA max_page_count={self.most}")

        event.listen(filling.sessions.engine, "checkout", limit)

    def leave(self, filling: Filling, spare: int) -> None:
        """Leave so many pages."""
        with filling.sessions.engine.connect() as connection:
            self.most = spare + connection.exec_driver_sql("PRAGMA page_count").scalar_one()

    def make_room(self) -> None:
        """Let the file grow again."""
        self.most = 2**30


@pytest.mark.parametrize("patient", [True, False], ids=["room comes soon", "room comes late"])
def test_whatever_room_is_left_no_text_leaves_before_its_claim_is_kept(
    tmp_path: Path, *, patient: bool
) -> None:
    """From no page to as many as it takes: SQLite says that the disk is full at each place once.

    In doubt: where an outcome found no room until its lease was over, and nothing else.
    """
    found = {}
    for spare in count():
        pages = Pages()
        filling = Filling(fresh_file(tmp_path / f"{spare}.db"), pages.make_room)
        fill(filling.sessions, TEXTS, at=NOW)
        pages.heed(filling)
        pages.leave(filling, spare)
        is_full = True
        with suppress(*STORE_FAULTS):
            filling.run(patient=patient)
            is_full = pages.most == 2**30  # room was made while an outcome waited
        assert filling.sent_without_a_claim() == 0
        found[spare] = filling.go_on()
        filling.sessions.engine.dispose()
        if not is_full:
            break

    assert [ledger.wrong for ledger in found.values() if ledger.wrong] == []
    assert {ledger.doubt_before_submit for ledger in found.values()} == {0}
    assert {ledger.sent + ledger.in_doubt for ledger in found.values()} == {TEXTS}
    assert len(found) > 5
    assert any(ledger.in_doubt for ledger in found.values()) is not patient
    assert found[0] == ALL_SENT  # not even the first claim had room


def test_a_small_disk_that_is_full_holds_everything_up_and_loses_nothing(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", megabytes=4) as disk:
        filling = Filling(fresh_file(disk.folder / "records.db"), disk.make_room)
        fill(filling.sessions, TEXTS, at=NOW)
        disk.fill(but=8_192)
        with pytest.raises(STORE_FAULTS):
            filling.run(patient=False)

        assert filling.network.submitted() == []
        assert filling.go_on() == ALL_SENT
        filling.sessions.engine.dispose()


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that the server's own user may enter."""
    with TemporaryDirectory(prefix="furrowbell-disk-") as name:
        Path(name).chmod(0o755)
        yield Path(name)


@pytest.mark.long
def test_a_server_whose_disk_is_full_holds_everything_up_and_loses_nothing(
    open_folder: Path,
) -> None:
    """PostgreSQL refuses what it cannot keep, or ends and is started again with room."""
    if not on_postgresql():
        pytest.skip("a run on SQLite starts no server")
    with (
        small_disk(open_folder / "disk", megabytes=200) as disk,
        cluster(inside=disk.folder, shared_buffers="16MB", max_wal_size="32MB") as server,
    ):
        filling = Filling(server.url(), disk.make_room)
        upgrade(filling.sessions.engine)
        fill(filling.sessions, SERVER_TEXTS, at=NOW)
        full = 0
        for spare in SPARE_BYTES:
            disk.fill(but=spare)
            try:
                filling.run(patient=False)
            except STORE_FAULTS:
                full += 1
            assert filling.sent_without_a_claim() == 0
            disk.make_room()
        found = filling.go_on()
        filling.sessions.engine.dispose()

    assert full > 1
    assert (found.wrong, found.waiting, found.over, found.doubt_before_submit) == ((), 0, 0, 0)
    assert found.sent + found.in_doubt == SERVER_TEXTS
