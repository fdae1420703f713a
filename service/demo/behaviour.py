"""How the invented growers behave: read from a table, with chance drawn from its seed."""

import tomllib
from dataclasses import dataclass, fields
from datetime import date
from hashlib import sha256
from pathlib import Path

from service.demo.acts import Act, load_acts
from service.errors import SettingsError

BESIDE = "season.toml"  # what the coordinator does in mid-season


@dataclass(frozen=True, slots=True, kw_only=True)
class Seal:
    """A can that is sealed, and reported, on a day."""

    can: int
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Free text sent on a day; `$plot` and `$code` stand for the first plot and its last dose."""

    on: date
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Behaviour:
    """What one household does; deploy/growers.toml explains each key."""

    consents: str = "yes"
    answers: str = "prompt"
    applies: str = "all"
    says_not_done: bool = True
    phrases: str = "code"
    sows_late_days: int = 0
    tells_sowing: bool = True
    emerges_after_days: int | None = None
    tells_emergence: bool = True
    comes_up: str = "sown"
    tells_again: str = "never"
    pours_after_days: int = 0
    pours_late: bool = False
    seals: tuple[Seal, ...] = ()
    refills: bool = False
    rain_on: tuple[date, ...] = ()
    burns_on: tuple[date, ...] = ()
    asks_help_on: tuple[date, ...] = ()
    asks_why_on: tuple[date, ...] = ()
    stops_on: date | None = None
    starts_again_on: date | None = None
    harvests_early_days: int | None = None
    writes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Growers:
    """The seed, each household's behaviour by its code, and what the coordinator does."""

    seed: int
    households: dict[str, Behaviour]
    acts: tuple[Act, ...] = ()

    def of(self, code: str) -> Behaviour:
        """Return a household's behaviour; one that the table lacks does the usual."""
        return self.households.get(code, Behaviour())

    def chance(self, *key: object) -> float:
        """Return a number from 0 up to 1, always the same for the same key."""
        text = ":".join(str(part) for part in (self.seed, *key))
        return int.from_bytes(sha256(text.encode()).digest()[:6]) / (1 << 48)


def load_growers(path: Path) -> Growers:
    """Return the growers of a table, and the coordinator's acts of `season.toml` beside it.

    Raises:
        SettingsError: a household has a key that is not known, or an act cannot be read.
    """
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    usual = raw.get("usual", {})
    known = {item.name for item in fields(Behaviour)}
    faults = [
        f"growers.toml, {code}: {key} is not known; take it out."
        for code, row in raw["households"].items()
        for key in sorted(row.keys() - known)
    ]
    if faults:
        raise SettingsError(faults)
    return Growers(
        seed=int(raw["seed"]),
        households={code: _behaviour({**usual, **row}) for code, row in raw["households"].items()},
        acts=load_acts(path.with_name(BESIDE)),
    )


def _behaviour(row: dict[str, object]) -> Behaviour:
    values = dict(row)
    for key, kind in (("seals", Seal), ("writes", Note)):
        items = values.get(key, [])
        values[key] = tuple(kind(**item) for item in items) if isinstance(items, list) else ()
    for key in ("rain_on", "burns_on", "asks_help_on", "asks_why_on"):
        days = values.get(key, [])
        values[key] = tuple(days) if isinstance(days, list) else ()
    return Behaviour(**values)  # type: ignore[arg-type]  # -- TOML's values; a wrong one fails here
