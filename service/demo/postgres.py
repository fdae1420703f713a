"""A PostgreSQL server of the demo's own: its data in the demo's folder, its door a socket.

No network reaches it: it listens on a Unix socket alone, in a folder that only its user may enter.
PostgreSQL refuses to run as root; started by root, it runs as `postgres` or `nobody`.
"""

import os
import pwd
import shutil
import subprocess  # nosec B404 -- starts PostgreSQL's own programs, with words of this file
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from signal import SIGINT
from threading import Event
from time import monotonic

from service.demo.supervisor import Part
from service.errors import RefusedError
from service.records.engine import open_engine
from service.records.faults import STORE_FAULTS
from service.records.migrate import upgrade

START_S = 60.0
SETUP_S = 120.0
LOOK_S = 0.1
OWNER = "furrowbell"
_PACKAGED = "/usr/lib/postgresql"
_SETTINGS = {"listen_addresses": "", "jit": "off", "max_connections": "100"}


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPostgres:
    """A server that is laid out, and runs while its `part` is supervised.

    Attributes:
        folder: holds its data and nothing else.
        door: the folder of its socket; a socket's path may have 107 octets, so it is a short one.
        user: who runs it, None for whoever runs the demo.
    """

    folder: Path
    door: Path
    user: pwd.struct_passwd | None

    @classmethod
    def lay_out(cls, folder: Path) -> "OwnPostgres":
        """Make a server's files in the folder, unless they are there; end one left running there.

        Raises:
            RefusedError: `postgres`, where this cannot be done here; the sentence says what to do.
        """
        user = _other_user()
        folder.mkdir(parents=True, exist_ok=True)
        door = Path(tempfile.mkdtemp(prefix="furrowbell-"))
        own = cls(folder=folder, door=door, user=user)
        try:
            own.hand_over()
            if (folder / "PG_VERSION").exists():
                own.run([_program("pg_ctl"), "-D", str(folder), "-m", "fast", "-w", "stop"])
            else:
                own.initialise()
        except BaseException:
            own.forget_door()
            raise
        return own

    @property
    def url(self) -> str:
        """The address of its database."""
        return f"postgresql+psycopg://{OWNER}@/postgres?host={self.door}"

    def part(self) -> Part:
        """Return what the supervisor starts."""
        options = [word for name, value in _SETTINGS.items() for word in ("-c", f"{name}={value}")]
        command = (_program("postgres"), "-D", str(self.folder), "-k", str(self.door), *options)
        return Part(
            name="postgresql", command=command, folder=self.folder, user=self.user, ends_by=SIGINT
        )

    def migrate(self) -> None:
        """Bring the tables to this version, once the server answers.

        Raises:
            RefusedError: `postgres`, where it does not.
        """
        engine, until = open_engine(self.url), monotonic() + START_S
        while True:
            try:
                upgrade(engine)
            except STORE_FAULTS as error:
                if monotonic() > until:
                    raise RefusedError(
                        "postgres", "PostgreSQL was started and does not answer; see log/."
                    ) from error
                Event().wait(LOOK_S)
            else:
                engine.dispose()
                return

    def hand_over(self) -> None:
        """Give the folders to the user who runs it."""
        for folder in (self.folder, self.door):
            folder.chmod(0o700)
            if self.user is not None:
                os.chown(folder, self.user.pw_uid, self.user.pw_gid)
        if self.user is not None and self.run(["test", "-w", str(self.folder)]):
            raise RefusedError(
                "postgres",
                f"PostgreSQL does not run as root, and the user {self.user.pw_name} cannot reach"
                " the data folder: name one that others may enter with --data, or start this as"
                " another user.",
            )

    def initialise(self) -> None:
        """Make the files of an empty database."""
        words = ["-A", "trust", "-U", OWNER, "-E", "UTF8", "--locale=C"]
        if self.run([_program("initdb"), "-D", str(self.folder), *words]):
            raise RefusedError(
                "postgres",
                "PostgreSQL's files could not be made in the data folder; see that there is room,"
                " or name another folder with --data.",
            )

    def run(self, command: Sequence[str]) -> int:
        """Run a program of PostgreSQL as its user, and return its status."""
        return subprocess.run(  # noqa: S603  # nosec B603 -- the commands are named in this file
            command,
            check=False,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            cwd="/",
            timeout=SETUP_S,
            user=None if self.user is None else self.user.pw_uid,
            group=None if self.user is None else self.user.pw_gid,
            extra_groups=None if self.user is None else [],
        ).returncode

    def forget_door(self) -> None:
        """Remove the folder of the socket."""
        shutil.rmtree(self.door, ignore_errors=True)


def _program(name: str) -> str:
    packaged = sorted(Path(_PACKAGED).glob(f"*/bin/{name}"), key=lambda path: float(path.parts[-3]))
    found = shutil.which(name) or (str(packaged[-1]) if packaged else None)
    if found is None:
        raise RefusedError(
            "postgres",
            f"PostgreSQL's program {name} is not here; on Debian an administrator installs it with:"
            " apt-get install postgresql",
        )
    return found


def _other_user() -> pwd.struct_passwd | None:
    if os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name)
        except KeyError:
            continue
    raise RefusedError(
        "postgres", "PostgreSQL does not run as root; start this as another user of this machine."
    )
