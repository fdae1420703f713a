"""Another process that holds a database's lock, for as long as it is asked to.

`python -m tests.faults.holder URL` reads lines: `hold` takes the lock (SQLite's write lock, on
PostgreSQL the table of the texts) and `let go` gives it back; each is answered by a line.
"""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from sqlalchemy import Engine, event, text

from service.records.engine import open_engine

ROOT = Path(__file__).parent.parent.parent
SHORT_MS = 60  # in place of the service's seconds: nobody waits for a lock here


class Holder:
    """What asks the other process."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self._process = process
        self._holds = False

    def hold(self) -> None:
        """Take the lock."""
        if not self._holds:
            self._ask("hold")
            self._holds = True

    def let_go(self) -> None:
        """Give the lock back."""
        if self._holds:
            self._ask("let go")
            self._holds = False

    def _ask(self, words: str) -> None:
        asked, answers = self._process.stdin, self._process.stdout
        assert asked is not None
        assert answers is not None
        asked.write(f"{words}\n")
        asked.flush()
        assert answers.readline() == f"{words}\n"


@contextmanager
def a_holder(url: str) -> Iterator[Holder]:
    """Give what can hold a database's lock."""
    with subprocess.Popen(  # noqa: S603 -- our own program, with our own words
        [sys.executable, "-m", "tests.faults.holder", url],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        yield Holder(process)  # its input ends with the block, and so does it


def wait_shortly(engine: Engine) -> None:
    """Let the connections that an engine makes from now on wait only a moment for a lock."""
    engine.dispose()
    if engine.dialect.name == "sqlite":
        event.listen(
            engine,
            "connect",
            lambda connection, _: connection.execute(f"PRAGMA busy_timeout={SHORT_MS}"),
        )
        return

    def shorten(connection: object, _record: object) -> None:
        with connection.cursor() as cursor:  # type: ignore[attr-defined]  # -- the driver's own
            cursor.execute(f"SET lock_timeout = {SHORT_MS}")
        connection.commit()  # type: ignore[attr-defined]  # -- the same

    event.listen(engine, "connect", shorten)


def _run(url: str) -> None:
    engine = open_engine(url)
    with ExitStack() as held:
        for line in sys.stdin:
            if line == "hold\n":
                connection = held.enter_context(engine.begin())
                if engine.dialect.name == "postgresql":
                    connection.execute(text("LOCK TABLE message IN ACCESS EXCLUSIVE MODE"))
            else:
                held.close()
            sys.stdout.write(line)
            sys.stdout.flush()


if __name__ == "__main__":
    _run(sys.argv[1])
