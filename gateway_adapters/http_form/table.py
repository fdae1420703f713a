"""Takes settings out of a table one by one and keeps a sentence for each fault."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from gateway_adapters.http_form.pointer import Path as PointerPath
from gateway_adapters.http_form.pointer import parse_pointer

_LARGEST_SECRET_FILE = 16_384


class Table:
    """A table of settings being read.

    Each `take` removes its key, so `finish` knows what nobody wanted. A fault never raises: it
    is written down, and what is returned then is of the right kind only.
    """

    def __init__(self, given: object, *, where: str, faults: list[str]) -> None:
        self._where = where
        self._faults = faults
        self._left: dict[str, object] = {}
        if isinstance(given, Mapping):
            self._left = {str(key): value for key, value in given.items()}
        else:
            self.fault("", "must be a table")

    def __contains__(self, key: str) -> bool:
        return key in self._left

    def fault(self, key: str, sentence: str) -> None:
        """Write down what is wrong with a key."""
        self._faults.append(f"'{self._name(key)}' {sentence}.")

    def text(self, key: str, otherwise: str | None = None) -> str:
        """Take a text that is not empty; without `otherwise` it must be there."""
        match self._left.pop(key, otherwise):
            case str() as value if value or value == otherwise:
                return value
            case None:
                self.fault(key, "is missing")
            case _:
                self.fault(key, "must be a text that is not empty")
        return otherwise or ""

    def choice(self, key: str, among: Sequence[str], otherwise: str) -> str:
        """Take one of a few words."""
        value = self._left.pop(key, otherwise)
        if isinstance(value, str) and value in among:
            return value
        self.fault(key, f"must be one of: {', '.join(among)}")
        return otherwise

    def switch(self, key: str) -> bool:
        """Take true or false; false if it is not there."""
        value = self._left.pop(key, False)
        if isinstance(value, bool):
            return value
        self.fault(key, "must be true or false")
        return False

    def number(self, key: str, otherwise: float, *, least: float, most: float) -> float:
        """Take a number within limits."""
        value = self._left.pop(key, otherwise)
        if (
            isinstance(value, int | float)
            and not isinstance(value, bool)
            and least <= value <= most
        ):
            return float(value)
        self.fault(key, f"must be a number from {least:g} to {most:g}")
        return otherwise

    def whole(self, key: str, otherwise: int, *, least: int, most: int) -> int:
        """Take a whole number within limits."""
        value = self._left.pop(key, otherwise)
        if isinstance(value, int) and not isinstance(value, bool) and least <= value <= most:
            return value
        self.fault(key, f"must be a whole number from {least} to {most}")
        return otherwise

    def texts(self, key: str, otherwise: Sequence[str] = ()) -> tuple[str, ...]:
        """Take a list of texts."""
        match self._left.pop(key, otherwise):
            case list() | tuple() as value if all(isinstance(item, str) for item in value):
                return tuple(value)
            case _:
                self.fault(key, "must be a list of texts")
                return tuple(otherwise)

    def pointer(self, key: str) -> PointerPath | None:
        """Take a JSON pointer, or None if it is not there."""
        text = self._left.pop(key, None)
        if text is None:
            return None
        if isinstance(text, str):
            try:
                return parse_pointer(text)
            except ValueError as error:
                self.fault(key, f"is no pointer: {str(error).removesuffix('.')}")
                return None
        self.fault(key, "must be a pointer such as /id")
        return None

    def needed_pointer(self, key: str) -> PointerPath:
        """Take a JSON pointer that must be there."""
        if key not in self._left:
            self.fault(key, "is missing; it is a pointer such as /id")
        return self.pointer(key) or ()

    def secret(self, key: str) -> str | None:
        """Take a secret: the value of `key`, or the first line of the file `key`_file."""
        file = self._left.pop(f"{key}_file", None)
        if file is None:
            return self.text(key) if key in self._left else None
        if key in self._left:
            self._left.pop(key)
            self.fault(key, f"and '{key}_file' are both given; keep one")
        return self.file_text(f"{key}_file", file)

    def file_text(self, key: str, file: object) -> str | None:
        """Return the first line of a file, such as a secret."""
        if not isinstance(file, str | Path) or not str(file):
            self.fault(key, "must be the path of a file")
            return None
        try:
            with Path(file).open(encoding="utf-8") as opened:
                line = opened.readline(_LARGEST_SECRET_FILE).strip()
        except (OSError, ValueError):
            self.fault(key, "names a file that cannot be read")
            return None
        if not line:
            self.fault(key, "names an empty file")
        return line or None

    def raw(self, key: str, otherwise: object = None) -> object:
        """Take a value of any kind."""
        return self._left.pop(key, otherwise)

    def table(self, key: str) -> "Table":
        """Take a table; an empty one if it is not there."""
        return Table(self._left.pop(key, {}), where=self._name(key), faults=self._faults)

    def rest(self) -> dict[str, object]:
        """Take all that is left: of a table whose keys are not ours to name."""
        rest, self._left = self._left, {}
        return rest

    def finish(self) -> None:
        """Write down each key that nobody took."""
        for key in sorted(self._left):
            self.fault(key, "is no setting of this gateway")

    def _name(self, key: str) -> str:
        return ".".join(part for part in (self._where, key) if part) or "settings"
