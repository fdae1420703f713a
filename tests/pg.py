"""A PostgreSQL cluster to throw away: on a Unix socket in a temporary folder, ended with its block.

PostgreSQL refuses to run as root; started by root, it runs as `postgres` or `nobody`.
"""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

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
_PACKAGED = "/usr/lib/postgresql"


class NoPostgresError(Exception):
    """PostgreSQL's own programs, or a user to run them, are missing on this machine."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cluster:
    """A running cluster; `url` is its address for SQLAlchemy, for one of its databases."""

    folder: Path

    def url(self, database: str = "postgres") -> str:
        """Return the address of a database."""
        return f"postgresql+psycopg://furrowbell@/{database}?host={self.folder}"


def has_postgres() -> bool:
    """Say whether a cluster can be started here."""
    try:
        _program("initdb"), _program("pg_ctl"), _other_user()
    except NoPostgresError:
        return False
    return True


@contextmanager
def cluster(**settings: str) -> Iterator[Cluster]:
    """Give a running cluster with durable settings, or with those changed here.

    Raises:
        NoPostgresError: it cannot be started on this machine.
    """
    initdb, pg_ctl, user = _program("initdb"), _program("pg_ctl"), _other_user()
    folder = Path(tempfile.mkdtemp(prefix="furrowbell-pg-"))
    if user is not None:
        os.chown(folder, user.pw_uid, user.pw_gid)
    data = ["-D", str(folder / "data")]
    options = [f"-c {name}={value}" for name, value in {**DURABLE, **settings}.items()]
    try:
        _run(
            [initdb, *data, "-A", "trust", "-U", "furrowbell", "-E", "UTF8", "--locale=C"],
            folder,
            user,
        )
        log = ["-l", str(folder / "log")]
        start = ["-w", "-t", "30", *log, "-o", " ".join([f"-k {folder}", *options]), "start"]
        _run([pg_ctl, *data, *start], folder, user)
        try:
            yield Cluster(folder=folder)
        finally:
            _run([pg_ctl, *data, "-m", "immediate", "-w", "stop"], folder, user)
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
