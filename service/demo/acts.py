"""What the invented coordinator does in mid-season, read strictly from a table."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from service.errors import SettingsError

Value = TypeVar("Value")

EVERYWHERE = "all"  # in the place of an area's code


class ActKind(StrEnum):
    """What the coordinator can do; the table explains each."""

    HOLD = "hold"
    HOLD_WITHDRAWN = "hold-withdrawn"
    SEASON = "season"
    FIGURE = "figure"
    AREA = "area-corrected"
    SITE_TOLD = "site-told"
    SITE_DECIDED = "site-decided"
    PUT_OFF = "put-off"
    RESOWN = "resown"
    FAILED = "failed"
    ELSEWHERE = "given-elsewhere"
    GO_ON = "go-on"
    LEAKING = "can-leaking"


_PLANTING: Mapping[str, type] = {"household": str, "plot": str}
_DAYS: Mapping[str, type] = {"area": str, "first_on": date, "last_on": date}
_KEYS: Mapping[ActKind, Mapping[str, type]] = {
    ActKind.HOLD: _DAYS,
    ActKind.HOLD_WITHDRAWN: _DAYS,
    ActKind.SEASON: {**_DAYS, "season": str},
    ActKind.FIGURE: {"area": str, "crop": str, "key": str, "value": str, "source": str},
    ActKind.AREA: {**_PLANTING, "area_m2": float, "measured": str},
    ActKind.SITE_TOLD: {**_PLANTING, "hazard": str},
    ActKind.SITE_DECIDED: {**_PLANTING, "why": str},
    ActKind.PUT_OFF: {**_PLANTING, "day": date},
    ActKind.RESOWN: {**_PLANTING, "day": date},
    ActKind.FAILED: {**_PLANTING, "day": date},
    ActKind.ELSEWHERE: {**_PLANTING, "number": int, "day": date, "litres": float},
    ActKind.GO_ON: _PLANTING,
    ActKind.LEAKING: {"household": str, "can": int},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing the coordinator does on a morning; `place` counts the rows of the table from 1."""

    place: int
    on: date
    kind: ActKind
    values: Mapping[str, object]

    def day(self, key: str) -> date:
        """Return a value that is a day."""
        return _of(date, self.values[key])

    def word(self, key: str) -> str:
        """Return a value that is a word."""
        return _of(str, self.values[key])

    def count(self, key: str) -> int:
        """Return a value that is a whole number."""
        return _of(int, self.values[key])

    def amount(self, key: str) -> float:
        """Return a value that is a number, in the unit that the table names."""
        return _of(float, self.values[key])


def load_acts(path: Path) -> tuple[Act, ...]:
    """Return the acts of a table, in the order of their days.

    Raises:
        SettingsError: the table is missing, or an act has a key, a kind or a value that is not
            known, or stands before one of an earlier day; every fault is named.
    """
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
    except (FileNotFoundError, tomllib.TOMLDecodeError) as error:
        raise SettingsError([f"{path.name} cannot be read; put the demo's own back."]) from error
    rows = raw.pop("acts", [])
    faults = [f"{path.name}: {key} is not known; take it out." for key in sorted(raw)]
    acts = [_act(place, row, faults, path.name) for place, row in enumerate(rows, start=1)]
    found = tuple(act for act in acts if act is not None)
    faults += [
        f"{path.name}, act {after.place}: it is of an earlier day than the one before; move it up."
        for before, after in pairwise(found)
        if after.on < before.on
    ]
    if faults:
        raise SettingsError(faults)
    return found


def _act(place: int, row: Mapping[str, object], faults: list[str], file: str) -> Act | None:
    where = f"{file}, act {place}"
    values = dict(row)
    on, told = values.pop("on", None), values.pop("act", None)
    if not _fits(on, date):
        faults.append(f"{where}: on must be a day.")
        return None
    try:
        kind = ActKind(str(told))
    except ValueError:
        faults.append(f"{where}: act must be one of {', '.join(ActKind)}.")
        return None
    keys = _KEYS[kind]
    odd = sorted(values.keys() ^ keys.keys())
    wrong = [
        key for key, wanted in keys.items() if key in values and not _fits(values[key], wanted)
    ]
    faults += [f"{where}: {key} is missing or not known." for key in odd]
    faults += [f"{where}: {key} is not of the right kind." for key in wrong]
    if odd or wrong:
        return None
    numbers = {key: float(str(value)) for key, value in values.items() if keys[key] is float}
    return Act(place=place, on=_of(date, on), kind=kind, values=MappingProxyType(values | numbers))


def _fits(value: object, wanted: type) -> bool:
    # TOML's true is an int to Python, and its moments are days
    return type(value) is wanted or (wanted is float and type(value) is int)


def _of(wanted: type[Value], value: object) -> Value:
    if not isinstance(value, wanted):
        raise TypeError(f"the table was checked for a {wanted.__name__} here")
    return value
