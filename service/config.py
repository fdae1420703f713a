"""Settings: one TOML file, then the environment; every fault is listed at once.

`FURROWBELL_SETTINGS` names the file; `FURROWBELL_DATABASE_URL`, `FURROWBELL_PROFILE`,
`FURROWBELL_TEXTS`, `FURROWBELL_DATA` and `FURROWBELL_SECRET_KEY` go before what it says.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from service.errors import SettingsError
from service.route_settings import RouteSettings, read_routes

_PACKAGE = Path(__file__).parent
_TEXT_FOLDERS = (_PACKAGE / "locales", _PACKAGE.parent / "locales")  # in the wheel, in a clone
_KEYS = {
    "profile",
    "database_url",
    "data",
    "texts",
    "test_numbers",
    "allowed_countries",
    "web_hosts",
    "secret_key",
    "route",
}
OWN_HOSTS = ("127.0.0.1", "localhost")
_ENVIRONMENT = {
    f"FURROWBELL_{key.upper()}": key
    for key in ("profile", "database_url", "data", "texts", "secret_key")
}
LEAST_SECRET = 32  # characters
_HOW_TO_MAKE_ONE = 'make one with `python3 -c "import secrets; print(secrets.token_urlsafe(32))"`'


class Profile(StrEnum):
    """Whether this is life or the demo, in which time is pretended and no phone is reached."""

    LIVE = "live"
    DEMO = "demo"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """All settings, checked."""

    profile: Profile
    database_url: str
    texts: Path
    test_numbers: frozenset[str]
    allowed_countries: tuple[str, ...]
    routes: tuple[RouteSettings, ...]
    web_hosts: tuple[str, ...] = OWN_HOSTS  # names under which a browser may ask for the pages
    secret_key: str | None = field(default=None, repr=False)  # must not reach a log

    @property
    def route(self) -> RouteSettings:
        """The first route."""
        return self.routes[0]

    def needed_secret_key(self) -> str:
        """Return the secret key that the pages and the sign-in cannot do without.

        Raises:
            SettingsError: there is none.
        """
        if self.secret_key is None:
            raise SettingsError(
                [f"Set FURROWBELL_SECRET_KEY, for the pages need a secret key; {_HOW_TO_MAKE_ONE}."]
            )
        return self.secret_key


def load_settings(environment: Mapping[str, str]) -> Settings:
    """Return the settings from the file that the environment names, and the environment itself.

    Raises:
        SettingsError: with every fault found, one sentence each.
    """
    faults: list[str] = []
    raw = _read_file(environment.get("FURROWBELL_SETTINGS"), faults)
    raw |= {key: environment[name] for name, key in _ENVIRONMENT.items() if environment.get(name)}
    faults += [f"{key} is not a setting; take it out." for key in sorted(raw.keys() - _KEYS)]
    settings = Settings(
        profile=_profile(raw, faults),
        database_url=_database_url(raw, faults),
        texts=_texts(raw, faults),
        test_numbers=frozenset(_strings(raw, "test_numbers", faults)),
        allowed_countries=tuple(_strings(raw, "allowed_countries", faults) or ["TZ"]),
        routes=read_routes(raw.get("route", {}), faults),
        web_hosts=tuple(_strings(raw, "web_hosts", faults)) or OWN_HOSTS,
        secret_key=_secret_key(raw, faults),
    )
    if faults:
        raise SettingsError(faults)
    return settings


def _read_file(name: str | None, faults: list[str]) -> dict[str, object]:
    if not name:
        return {}
    try:
        return dict(tomllib.loads(Path(name).read_text(encoding="utf-8")))
    except OSError:
        faults.append("The settings file that FURROWBELL_SETTINGS names cannot be read.")
    except tomllib.TOMLDecodeError as error:
        faults.append(f"The settings file is not TOML: {error}.")
    return {}


def _profile(raw: Mapping[str, object], faults: list[str]) -> Profile:
    value = raw.get("profile", Profile.LIVE.value)
    if value not in [profile.value for profile in Profile]:
        faults.append("profile must be live or demo.")
        return Profile.LIVE
    return Profile(str(value))


def _database_url(raw: Mapping[str, object], faults: list[str]) -> str:
    value = raw.get("database_url")
    if isinstance(value, str) and "://" in value:
        return value
    if value is not None:
        faults.append(
            "database_url must be an address such as sqlite:////srv/furrowbell/furrowbell.db."
        )
        return ""
    folder = raw.get("data")
    if isinstance(folder, str) and folder:
        return f"sqlite:///{Path(folder) / 'furrowbell.db'}"
    faults.append("No database is named; set FURROWBELL_DATABASE_URL or database_url.")
    return ""


def default_texts() -> Path:
    """Return the folder of texts that came with the program."""
    return next((folder for folder in _TEXT_FOLDERS if folder.is_dir()), _TEXT_FOLDERS[0])


def _texts(raw: Mapping[str, object], faults: list[str]) -> Path:
    folder = Path(str(raw["texts"])) if raw.get("texts") else default_texts()
    if not folder.is_dir():
        faults.append(
            "The folder of texts is missing; set texts to the folder with one a language."
        )
    return folder


def _secret_key(raw: Mapping[str, object], faults: list[str]) -> str | None:
    value = raw.get("secret_key")
    if value is None:
        return None
    if isinstance(value, str) and len(value) >= LEAST_SECRET:
        return value
    faults.append(f"secret_key must have {LEAST_SECRET} characters or more; {_HOW_TO_MAKE_ONE}.")
    return None


def _strings(raw: Mapping[str, object], key: str, faults: list[str]) -> list[str]:
    value = raw.get(key, [])
    if isinstance(value, list) and all(isinstance(item, str) for item in value):
        return [str(item) for item in value]
    faults.append(f'{key} must be a list of texts, such as ["TZ"].')
    return []
