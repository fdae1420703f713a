"""Reading of the trade's figures: every group of values names its source and how it was had.

A table with a key too many, a key too few or a value of the wrong kind is refused as a whole.
"""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from importlib.resources import files

from service.errors import ServiceError

_ORIGIN = frozenset({"source", "found"})


class TableError(ServiceError):
    """A table of figures cannot be used; the sentence names the place and what to mend."""


class Found(StrEnum):
    """How a figure was had."""

    READ = "read"
    PACKAGE = "package"
    COMPUTED = "computed"
    MEMORY = "memory"
    LOCAL = "local"  # entered here, with a source of its own


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Where a group of figures comes from."""

    source: str
    found: Found


def table_text(name: str) -> str:
    """Return the text of a table that lies beside this module."""
    return files("service.agronomy").joinpath(name).read_text(encoding="utf-8")


def read_tables(name: str, text: str) -> Mapping[str, Mapping[str, object]]:
    """Return the top tables of a TOML text by their name.

    Raises:
        TableError: the text is no TOML, or holds a value outside a table.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"{name} is not valid TOML: {error}.") from error
    for key, value in raw.items():
        if not isinstance(value, dict):
            raise TableError(f"{name}: {key} stands alone; put it into a table.")
    return raw


class Group:
    """A group of values with one source: its keys are checked when it is made."""

    def __init__(self, where: str, raw: object, keys: frozenset[str]) -> None:
        if not isinstance(raw, dict):
            raise TableError(f"{where}: write a table here, with {_list(keys)}.")
        self._where = where
        self._raw: Mapping[str, object] = raw
        unknown, missing = raw.keys() - keys - _ORIGIN, (keys | _ORIGIN) - raw.keys()
        if unknown:
            raise TableError(f"{where}: take out {_list(unknown)}, nothing reads it.")
        if missing:
            raise TableError(f"{where}: add {_list(missing)}.")
        try:
            self.origin = Origin(source=self.word("source"), found=Found(self.word("found")))
        except ValueError as error:
            raise TableError(
                f"{where}: found must be one of {_list(found.value for found in Found)}."
            ) from error

    def whole(self, key: str) -> int:
        """Return a whole number from 0 up."""
        value = self._raw[key]
        if not isinstance(value, int) or isinstance(value, bool) or value < 0:
            raise self._wrong(key, "a whole number from 0 up")
        return value

    def wholes(self, key: str) -> tuple[int, ...]:
        """Return a list of whole numbers from 0 up."""
        values = self._raw[key]
        if not isinstance(values, list) or not all(
            type(value) is int and value >= 0 for value in values
        ):
            raise self._wrong(key, "a list of whole numbers from 0 up")
        return tuple(values)

    def number(self, key: str) -> float:
        """Return a number from 0 up."""
        value = self._raw[key]
        if not isinstance(value, int | float) or isinstance(value, bool) or not value >= 0:
            raise self._wrong(key, "a number from 0 up")
        return float(value)

    def flag(self, key: str) -> bool:
        """Return true or false."""
        value = self._raw[key]
        if not isinstance(value, bool):
            raise self._wrong(key, "true or false")
        return value

    def word(self, key: str) -> str:
        """Return a text that is not empty."""
        value = self._raw[key]
        if not isinstance(value, str) or not value.strip():
            raise self._wrong(key, "a text that is not empty")
        return value

    def _wrong(self, key: str, wanted: str) -> TableError:
        return TableError(f"{self._where}: {key} must be {wanted}.")


def _list(names: Iterable[str]) -> str:
    return ", ".join(sorted(names))
