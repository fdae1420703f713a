"""A PostgreSQL cluster to throw away: on a Unix socket in a temporary folder, ended with its block.

PostgreSQL refuses to run as root; started by root, it runs as `postgres` or `nobody`.
"""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Event

DURABLE = {
    "listen_addresses": "''",
    "fsync": "on",
    "synchronous_commit": "on",
    "full_page_writes": "on",
    "jit": "off",
    "shared_buffers": "1GB",
    "max_wal_size": "8GB",
    "wal_compression": "on",
    "random_page_cost": "1.1",
}
LIMIT_S = 60
_AGAIN_S = 0.1
_PACKAGED = "/usr/lib/postgresql"


class NoPostgresError(Exception):
    """PostgreSQL's own programs, or a user to run them, are missing on this machine."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cluster:
    """A running cluster; `url` is its address for SQLAlchemy, for one of its databases."""

    folder: Path
    options: str = ""

    def url(self, database: str = "postgres") -> str:
        """Return the address of a database."""
        return f"postgresql+psycopg://furrowbell@/{database}?host={self.folder}"

    def stop(self) -> None:
        """End the server at once, as if it crashed; nothing happens where it does not run."""
        with suppress(subprocess.CalledProcessError):
            self._control("-m", "immediate", "-w", "stop")

    def kill(self) -> None:
        """Kill the server's first process; the others notice and end."""
        first_line = (self.folder / "data" / "postmaster.pid").read_text().split("\n", 1)[0]
        os.kill(int(first_line), signal.SIGKILL)

    def start(self, *, tries: int = 1) -> None:
        """Start the server; after a kill it takes some tries, until what is left has gone.

        Raises:
            subprocess.CalledProcessError: it does not start.
        """
        log = ["-l", str(self.folder / "log")]
        for left in reversed(range(tries)):
            try:
                self._control("-w", "-t", "30", *log, "-o", self.options, "start")
            except subprocess.CalledProcessError:
                if not left:
                    raise
                Event().wait(_AGAIN_S)
            else:
                return

    def _control(self, *words: str) -> None:
        command = [_program("pg_ctl"), "-s", "-D", str(self.folder / "data"), *words]
        _run(command, self.folder, _other_user())


def has_postgres() -> bool:
    """Say whether a cluster can be started here."""
    try:
        _program("initdb"), _program("pg_ctl"), _other_user()
    except NoPostgresError:
        return False
    return True


@contextmanager
def cluster(*, inside: Path | None = None, **settings: str) -> Iterator[Cluster]:
    """Give a running cluster with durable settings, or with those changed here.

    Args:
        inside: a folder that any user may enter, in place of the usual one for temporary files.
        settings: the server's, by name.

    Raises:
        NoPostgresError: it cannot be started on this machine.
    """
    initdb, user = _program("initdb"), _other_user()
    folder = Path(tempfile.mkdtemp(prefix="furrowbell-pg-", dir=inside))
    if user is not None:
        os.chown(folder, user.pw_uid, user.pw_gid)
    options = [f"-c {name}={value}" for name, value in {**DURABLE, **settings}.items()]
    made = Cluster(folder=folder, options=" ".join([f"-k {folder}", *options]))
    words = ["-A", "trust", "-U", "furrowbell", "-E", "UTF8", "--locale=C"]
    try:
        _run([initdb, "-D", str(folder / "data"), *words], folder, user)
        made.start()
        try:
            yield made
        finally:
            made.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _run(command: Sequence[str], folder: Path, user: pwd.struct_passwd | None) -> None:
    subprocess.run(  # noqa: S603 -- the commands are named in this file
        command,
        check=True,
        stdout=subprocess.DEVNULL,
        cwd=folder,
        timeout=LIMIT_S,
        user=None if user is None else user.pw_uid,
        group=None if user is None else user.pw_gid,
        extra_groups=None if user is None else [],
    )


def _program(name: str) -> str:
    packaged = sorted(Path(_PACKAGED).glob(f"*/bin/{name}"))
    found = shutil.which(name) or (str(packaged[-1]) if packaged else None)
    if found is None:
        raise NoPostgresError(f"PostgreSQL's {name} is not installed.")
    return found


def _other_user() -> pwd.struct_passwd | None:
    if os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name)
        except KeyError:
            continue
    raise NoPostgresError("PostgreSQL does not run as root, and there is no other user.")
