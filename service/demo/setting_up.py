"""Lays out a demo in its data folder: settings, database, pretend network, clock, association."""

import json
import secrets
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from service.bootstrap import Services, build
from service.config import Profile, Settings, default_texts
from service.dispatch.dispatcher import Mark, no_mark
from service.errors import RefusedError
from service.records.engine import open_engine
from service.records.migrate import upgrade
from service.records.pretend import move_pretend_clock, pretend_now
from service.route_settings import RouteSettings

DATABASE, NETWORK, SETTINGS, FINISHED = "furrowbell.db", "network", "settings.toml", "finished"
KEY_FILE, KEY_BYTES = "secret", 32
WAY_IN = "way-in.json"
NUMBERS = tuple(f"+2551000000{number:02d}" for number in range(100))  # possible, not assignable
SENDER = "15050"
RATE_PER_S = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """The folder of one demo; nothing outside it is written.

    Its database is a file of SQLite in it, unless `database_url` is another's address.
    """

    folder: Path
    database_url: str | None = None

    def reset(self) -> None:
        """Remove the files that a demo made here, and only those."""
        database = (DATABASE, f"{DATABASE}-wal", f"{DATABASE}-shm")
        for name in (*database, SETTINGS, FINISHED, KEY_FILE, WAY_IN):
            (self.folder / name).unlink(missing_ok=True)
        for path in sorted((self.folder / NETWORK).glob("*")):
            path.unlink()

    def settings(self, centre_port: int | None = None) -> Settings:
        """Return the demo's settings: pretend phones, and only numbers that cannot exist.

        They are the fake gateway's, or those behind an SMPP centre at a port of this machine. The
        secret key is made once, so that what was sealed before opens again.
        """
        return Settings(
            profile=Profile.DEMO,
            database_url=self.database_url or f"sqlite:///{self.folder / DATABASE}",
            texts=default_texts(),
            test_numbers=frozenset(NUMBERS),
            allowed_countries=("TZ",),
            routes=(
                RouteSettings(
                    name="main",
                    association=None,
                    adapter="fake" if centre_port is None else "smpp",
                    sender=SENDER,
                    rate_per_s=RATE_PER_S,
                    settings=self._fake() if centre_port is None else _centre(centre_port),
                ),
            ),
            secret_key=_kept_secret(self.folder / KEY_FILE),
        )

    def _fake(self) -> dict[str, object]:
        return {"folder": str(self.folder / NETWORK), "numbers": list(NUMBERS)}

    def open(
        self, *, start: datetime, mark: Mark = no_mark, centre_port: int | None = None
    ) -> Services:
        """Return the demo's services, its clock set to `start` if it never ran.

        Raises:
            RefusedError: `data`, where the folder cannot be written.
        """
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            settings = self.settings(centre_port)
            _write_settings(self.folder / SETTINGS, settings)
        except OSError as error:
            raise RefusedError(
                "data", "The demo's data folder cannot be written; name another with --data."
            ) from error
        upgrade(open_engine(settings.database_url))
        services = build(settings, mark=mark)
        with services.sessions.begin() as session:
            if pretend_now(session) is None:
                move_pretend_clock(session, start)
        return services


def _centre(port: int) -> dict[str, object]:
    return {
        "host": "127.0.0.1",
        "port": port,
        "system_id": "demo",
        "password": "demo",  # nosec B105 -- the centre on this machine asks for none
        "rate_per_s": RATE_PER_S,
    }


def _kept_secret(path: Path) -> str:
    if not path.exists():
        _write_privately(path, secrets.token_urlsafe(KEY_BYTES))
    return path.read_text(encoding="utf-8")


def _write_privately(path: Path, text: str) -> None:
    path.touch(mode=0o600)
    path.chmod(0o600)  # one that stood there before may have been open to all
    path.write_text(text, encoding="utf-8")


def _write_settings(path: Path, settings: Settings) -> None:
    route = settings.route
    # JSON's strings and lists of strings are TOML's too
    lines = [
        f"profile = {json.dumps(settings.profile.value)}",
        f"database_url = {json.dumps(settings.database_url)}",
        f"texts = {json.dumps(str(settings.texts))}",
        f"test_numbers = {json.dumps(sorted(settings.test_numbers))}",
        f"allowed_countries = {json.dumps(list(settings.allowed_countries))}",
        f"secret_key = {json.dumps(settings.needed_secret_key())}",
        "[route]",
        f"name = {json.dumps(route.name)}",
        f"adapter = {json.dumps(route.adapter)}",
        f"sender = {json.dumps(route.sender)}",
        f"rate_per_s = {route.rate_per_s}",
        "[route.settings]",
        *(f"{key} = {json.dumps(value)}" for key, value in route.settings.items()),
    ]
    _write_privately(path, "\n".join(lines) + "\n")
