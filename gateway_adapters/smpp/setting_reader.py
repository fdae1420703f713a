"""Reads settings one by one and keeps a sentence for each fault, to be told all at once."""

from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

Choice = TypeVar("Choice", bound=StrEnum)


class SettingReader:
    """The settings of one route, each asked for once; `faults` has a sentence for each fault."""

    def __init__(self, settings: Mapping[str, object]) -> None:
        self._settings = settings
        self._asked: set[str] = set()
        self.faults: list[str] = []

    def word(self, key: str, *, usual: str | None = None, longest: int = 255) -> str:
        """Return plain ASCII without control characters; with no usual value it is needed."""
        value = self._get(key)
        if value is None and usual is not None:
            return usual
        if (
            not isinstance(value, str)
            or not (value or usual is not None)
            or len(value) > longest
            or not value.isascii()
            or not (value.isprintable() or not value)
        ):
            self.faults.append(f"{key!r} must be 1 to {longest} plain ASCII characters.")
            return ""
        return value

    def secret(self, key: str, *, longest: int) -> str:
        """Return a secret, given as `key` or as the first line of the file at `<key>_file`."""
        file_key = f"{key}_file"
        path, value = self._get(file_key), self._get(key)
        if path is not None and value is not None:
            self.faults.append(f"Give either {key!r} or {file_key!r}, not both.")
            return ""
        if path is not None:
            try:
                lines = Path(str(path)).read_text(encoding="utf-8").splitlines()
            except (OSError, UnicodeDecodeError):
                self.faults.append(f"The file of {file_key!r} cannot be read.")
                return ""
            value = lines[0] if lines else ""
        if value is None:
            value = ""
        if not isinstance(value, str) or len(value) > longest or not value.isascii():
            self.faults.append(
                f"{key!r} must be at most {longest} plain ASCII characters, as SMPP has it."
            )
            return ""
        return value

    def whole(self, key: str, *, usual: int | None, low: int, high: int) -> int:
        """Return a whole number; with no usual value it is needed."""
        value = self._get(key)
        if value is None and usual is not None:
            return usual
        if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
            self.faults.append(f"{key!r} must be a whole number from {low} to {high}.")
            return low
        return value

    def whole_or_none(self, key: str, *, low: int, high: int) -> int | None:
        """Return a whole number, or None where the key is missing."""
        return (
            None
            if self._settings.get(key) is None
            else self.whole(key, usual=None, low=low, high=high)
        )

    def number(self, key: str, *, usual: float, low: float, high: float) -> float:
        """Return a number."""
        value = self._get(key)
        if value is None:
            return usual
        if (
            not isinstance(value, int | float)
            or isinstance(value, bool)
            or not low <= value <= high
        ):
            self.faults.append(f"{key!r} must be a number from {low:g} to {high:g}.")
            return usual
        return float(value)

    def choice(self, key: str, usual: Choice) -> Choice:
        """Return one of the words of the usual one's kind."""
        value = self._get(key)
        words = [choice.value for choice in type(usual)]
        if value is None:
            return usual
        if value not in words:
            self.faults.append(f"{key!r} must be one of: {', '.join(words)}.")
            return usual
        return type(usual)(value)

    def yes_or_no(self, key: str) -> bool:
        """Return a truth value; no where the key is missing."""
        value = self._get(key)
        if value is not None and not isinstance(value, bool):
            self.faults.append(f"{key!r} must be true or false.")
        return value is True

    def table(self, key: str) -> dict[str, str]:
        """Return a table of words; empty where the key is missing."""
        value = self._get(key)
        if value is None:
            return {}
        if not isinstance(value, Mapping) or not all(
            isinstance(name, str) and isinstance(word, str) for name, word in value.items()
        ):
            self.faults.append(f"{key!r} must be a table of words.")
            return {}
        return dict(value)

    def path(self, key: str) -> Path | None:
        """Return the path of a file that is there, or None where the key is missing."""
        value = self._get(key)
        if value is None:
            return None
        if not isinstance(value, str | Path) or not Path(value).is_file():
            self.faults.append(f"The file of {key!r} is not there.")
            return None
        return Path(value)

    def refuse_the_rest(self, gateway: str) -> None:
        """Keep a sentence for each setting that nobody asked for."""
        self.faults += [
            f"{key!r} is no setting of {gateway}."
            for key in sorted(map(str, self._settings.keys() - self._asked))
        ]

    def _get(self, key: str) -> object:
        self._asked.add(key)
        return self._settings.get(key)
