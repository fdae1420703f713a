"""The fake gateway's settings, checked before anything is opened."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from gateway_adapters.errors import GatewayConfigError

_E164 = re.compile(r"\+[1-9][0-9]{6,14}")


@dataclass(frozen=True, slots=True, kw_only=True)
class FakeSettings:
    """Where the pretend network is kept (None: in memory) and who is on it (None: all)."""

    folder: Path | None = None
    numbers: tuple[str, ...] | None = None


def read_settings(settings: Mapping[str, object]) -> FakeSettings:
    """Return the settings `folder` (a path) and `numbers` (a list), both optional.

    Raises:
        GatewayConfigError: Some are unknown or of the wrong kind; the sentences list all faults.
    """
    faults = [
        f"{key!r} is no setting of the fake gateway; it has 'folder' and 'numbers'."
        for key in sorted(settings.keys() - {"folder", "numbers"})
    ]
    folder: Path | None = None
    numbers: tuple[str, ...] | None = None
    match settings.get("folder"):
        case None:
            pass
        case (str() | Path()) as path if str(path):
            folder = Path(path)
        case _:
            faults.append("'folder' must be a path.")
    match settings.get("numbers"):
        case None:
            pass
        case list() | tuple() as given if all(_is_number(number) for number in given):
            numbers = tuple(given)
        case _:
            faults.append("'numbers' must be a list of numbers such as '+255100000001'.")
    if faults:
        raise GatewayConfigError(" ".join(faults))
    return FakeSettings(folder=folder, numbers=numbers)


def _is_number(value: object) -> bool:
    return isinstance(value, str) and _E164.fullmatch(value) is not None
