"""Bodies of webhooks to documents, and what is read out of them. Pure."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from urllib.parse import parse_qsl

from gateway_adapters.http_form import pointer

_MOST_FIELDS = 1000
_MARK = "\ufffd"  # stands for octets that are no UTF-8
_HARMFUL = re.compile("[\x00\ud800-\udfff]")  # what databases refuse
_DIGITS = re.compile(r"[0-9]{7,15}")
_E164 = re.compile(r"\+[1-9][0-9]{6,14}")
_UNIX = re.compile(r"[0-9]{1,14}")
_MILLISECONDS_FROM = 100_000_000_000  # as seconds this is the year 5138
_LONGEST_FIELD = 256


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A value that must stand somewhere for a body to be of a kind."""

    at: pointer.Path
    equals: str

    def holds(self, document: object) -> bool:
        """Return whether it stands there."""
        return pointer.scalar_text(pointer.look_up(document, self.at)) == self.equals


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the events of a kind are: the path's end, a condition, and the list they stand in."""

    path_end: str = ""
    when: Condition | None = None
    each: pointer.Path | None = None

    def items(self, document: object, *, path: str) -> list[object] | None:
        """Return the events' documents, or None if the request is of another kind."""
        if not path.partition("?")[0].endswith(self.path_end):
            return None
        if self.when is not None and not self.when.holds(document):
            return None
        if self.each is None:
            return [document]
        found = pointer.look_up(document, self.each)
        return found if isinstance(found, list) else []


def read_document(body: bytes, *, form: bool) -> object:
    """Return a form as a table of texts, or JSON as it is.

    Octets that are no UTF-8 become marks, so that a text with one bad letter is not lost.

    Raises:
        UnreadableError: It is neither.
    """
    text = body.decode("utf-8", "replace")
    if not form:
        return pointer.read_json(text.encode("utf-8"))
    try:
        return dict(
            parse_qsl(text, keep_blank_values=True, max_num_fields=_MOST_FIELDS, errors="replace")
        )
    except ValueError as error:
        raise pointer.UnreadableError("This is no form.") from error


def field_text(item: object, path: pointer.Path | None) -> str:
    """Return a short text that stands there, cleaned of what cannot be stored, or ''."""
    found = None if path is None else pointer.scalar_text(pointer.look_up(item, path))
    return "" if found is None else _HARMFUL.sub(_MARK, found.strip())[:_LONGEST_FIELD]


def message_text(item: object, path: pointer.Path) -> tuple[str, bool] | None:
    """Return a text as it stands there, and whether some of it could not be read."""
    found = pointer.scalar_text(pointer.look_up(item, path))
    if found is None:
        return None
    clean = _HARMFUL.sub(_MARK, found)
    return clean, _MARK in clean


def phone(text: str, *, digits_only: bool) -> str:
    """Return a number in E.164, or what stands there where it is none (a name, a short code).

    A blank before digits is a plus that a form lost. Without a plus digits are a number only
    where the route says so, and never if fewer than seven: those are short codes.
    """
    bare = text.strip()
    if _E164.fullmatch(bare):
        return bare
    lost_plus = text.startswith(" ")
    if (digits_only or lost_plus) and _DIGITS.fullmatch(bare) and not bare.startswith("0"):
        return f"+{bare}"
    return bare


def instant(text: str, *, otherwise: datetime) -> datetime:
    """Return an instant from ISO 8601 with its offset, or Unix seconds or milliseconds.

    What cannot be read, or names no offset, is `otherwise`: the gateway's zone is not known.
    """
    try:
        if _UNIX.fullmatch(text):
            number = int(text)
            seconds = number // 1000 if number >= _MILLISECONDS_FROM else number
            return datetime.fromtimestamp(seconds, tz=UTC)
        read = datetime.fromisoformat(text)
        return otherwise if read.tzinfo is None else read.astimezone(UTC)
    except (ValueError, OverflowError, OSError):
        return otherwise
