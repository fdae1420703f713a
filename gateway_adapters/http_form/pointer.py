"""Finding values in what a gateway says: JSON read with care, and JSON pointers (RFC 6901)."""

import json
import re
from collections.abc import Mapping, Sequence

Path = tuple[str, ...]

_INDEX = re.compile(r"0|[1-9][0-9]{0,5}")
_LONGEST_ID = 256  # ours; an id is a key in a table, not a document


class UnreadableError(Exception):
    """Octets that are no JSON, or JSON too deep or too large a number to read."""


def read_json(octets: bytes) -> object:
    """Return the document; a number with a fraction stays the text that it was.

    Raises:
        UnreadableError: The octets are not UTF-8 or not JSON.
    """
    try:
        document: object = json.loads(
            octets.decode("utf-8-sig"), parse_float=str, parse_constant=_refuse_constant
        )
    except (ValueError, RecursionError) as error:
        raise UnreadableError("This is no JSON.") from error
    return document


def parse_pointer(text: str) -> Path:
    """Return the steps of a pointer; the empty one means the whole document.

    Raises:
        ValueError: It does not begin with a slash, or has a tilde that escapes nothing.
    """
    if text and not text.startswith("/"):
        raise ValueError("A pointer begins with a slash, such as /id.")
    if re.search(r"~(?![01])", text):
        raise ValueError("In a pointer ~ is written ~0, and a slash in a name ~1.")
    return tuple(step.replace("~1", "/").replace("~0", "~") for step in text.split("/")[1:])


def look_up(document: object, path: Path) -> object:
    """Return what stands there, or None."""
    found = document
    for step in path:
        if isinstance(found, Mapping):
            found = found.get(step)
        elif isinstance(found, Sequence) and not isinstance(found, str) and _INDEX.fullmatch(step):
            found = found[int(step)] if int(step) < len(found) else None
        else:
            return None
    return found


def scalar_text(value: object) -> str | None:
    """Return a text, a number or a truth value as text, or None for anything else."""
    match value:
        case str():
            return value
        case bool():
            return "true" if value else "false"
        case int():
            return str(value)
        case _:
            return None


def id_text(value: object) -> str | None:
    """Return an id as text, also where it came as a number, or None if it cannot be one."""
    text = None if isinstance(value, bool) else scalar_text(value)
    if text is None or not text.strip() or len(text) > _LONGEST_ID or not text.isprintable():
        return None
    return text


def _refuse_constant(name: str) -> object:
    raise ValueError(f"{name} is not JSON.")
