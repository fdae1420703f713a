"""The fake gateway's journal: what happened on the pretend network, one JSON object a line.

Several processes may append to one file. Each record is one line and one write under a lock, so
it is there whole or not at all; half a line left by a killed process never happened. A killed
process loses nothing that was written; a power cut may (nothing is forced to the disk).
"""

import fcntl
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from gateway_adapters.contract import Accepted, Encoding, Outgoing
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.events import (
    Event,
    Inbound,
    Receipt,
    ReceiptState,
    UssdBegin,
    UssdEnd,
    UssdEndReason,
    UssdInput,
)
from gateway_adapters.fake_script import Effect, Pending


@dataclass(frozen=True, slots=True, kw_only=True)
class FakeText:
    """A message that reached the pretend network; `segments` counts its parts.

    `state` is the truth about it, whatever answer was given: None means lost or refused.
    """

    to: str
    text: str
    at: datetime
    sender: str
    token: str
    encoding: Encoding
    segments: int
    gateway_ids: tuple[str, ...]
    state: ReceiptState | None

    @property
    def on_phone(self) -> bool:
        """Whether the phone has it; an end that leaves it open counts as yes."""
        return self.state in {
            ReceiptState.DELIVERED,
            ReceiptState.SUBMITTED,
            ReceiptState.UNKNOWN,
        }


def carried_text(message: Outgoing, effect: Effect, gateway_id: str, now: datetime) -> FakeText:
    """Return what the network holds of a message that reached it."""
    lost = effect.state is None
    given = effect.outcome.gateway_ids if isinstance(effect.outcome, Accepted) else (gateway_id,)
    return FakeText(
        to=message.to,
        text="".join(message.segments.parts),  # what the parts carry, whatever `text` says
        at=now,
        sender=message.sender,
        token=message.token,
        encoding=message.segments.encoding,
        segments=len(message.segments.parts),
        gateway_ids=() if lost else given,
        state=effect.state,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A message reached the network, and these receipts are on their way."""

    text: FakeText
    events: tuple[Pending, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A grower sent a text."""

    events: tuple[Pending, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Acked:
    """The events of these places, counted through the whole journal from 0, are done with."""

    places: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyed:
    """A handset dialled the menu, typed an input or hung up."""

    events: tuple[Pending, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Screened:
    """A handset was shown a screen of the menu."""

    session: str
    text: str
    finish: bool


Record = Carried | Said | Acked | Keyed | Screened


class Journal:
    """One file of records, shared by all processes that are given its path."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._offset = 0

    def read(self) -> list[Record]:
        """Return the records written since the last call, by whomever.

        Raises:
            GatewayConfigError: A whole line is not a record, or the file was emptied meanwhile.
        """
        size = self._path.stat().st_size if self._path.exists() else 0
        if size < self._offset:
            raise GatewayConfigError(
                f"{self._path} was emptied while the fake gateway used it; start the program again."
            )
        if size == self._offset:
            return []
        with self._path.open("rb") as file:
            file.seek(self._offset)
            whole, newline, _torn = file.read().rpartition(b"\n")
        self._offset += len(whole) + len(newline)
        return [self._record(line) for line in whole.splitlines()]

    @contextmanager
    def locked(self) -> Iterator[int]:
        """Keep other processes from appending; the value is what `append` takes.

        Raises:
            OSError: The file cannot be opened for writing.
        """
        descriptor = os.open(self._path, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o600)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX)
            yield descriptor
        finally:
            os.close(descriptor)  # lets go of the lock too

    def append(self, record: Record, *, descriptor: int) -> None:
        """Write one record inside `locked`, after a `read`.

        Raises:
            OSError: The record could not be written whole; then it counts as not written.
        """
        os.ftruncate(descriptor, self._offset)  # under the lock what follows is a torn line
        line = _line(record)
        if os.write(descriptor, line) < len(line):
            raise OSError("The journal's line was cut short; is the disk full?")

    def _record(self, line: bytes) -> Record:
        try:
            return _parsed(json.loads(line))
        except (ValueError, KeyError, TypeError) as error:
            raise GatewayConfigError(
                f"{self._path} holds a line that is no record of the fake gateway; "
                "give the fake gateway a folder of its own."
            ) from error


def _line(record: Record) -> bytes:
    values = {"op": type(record).__name__, **asdict(record)}
    return json.dumps(values, default=datetime.isoformat, separators=(",", ":")).encode() + b"\n"


def _parsed(values: dict[str, Any]) -> Record:
    match values["op"]:
        case "Carried":
            return Carried(text=_text(values["text"]), events=_pending(values["events"]))
        case "Said":
            return Said(events=_pending(values["events"]))
        case "Acked":
            return Acked(places=tuple(values["places"]))
        case "Keyed":
            return Keyed(events=_pending(values["events"]))
        case "Screened":
            del values["op"]
            return Screened(**values)
        case other:
            raise ValueError(other)


def _text(values: dict[str, Any]) -> FakeText:
    state = values["state"]
    changed = {
        "at": datetime.fromisoformat(values["at"]),
        "encoding": Encoding(values["encoding"]),
        "gateway_ids": tuple(values["gateway_ids"]),
        "state": None if state is None else ReceiptState(state),
    }
    return FakeText(**{**values, **changed})


def _pending(rows: list[dict[str, Any]]) -> tuple[Pending, ...]:
    return tuple(Pending(event=_event(row["event"]), due_at=_due_at(row)) for row in rows)


def _due_at(row: dict[str, Any]) -> datetime | None:
    return None if row["due_at"] is None else datetime.fromisoformat(row["due_at"])


def _event(values: dict[str, Any]) -> Event:
    if "gateway_id" in values:
        at = datetime.fromisoformat(values["at"])
        return Receipt(**{**values, "at": at, "state": ReceiptState(values["state"])})
    if "code" in values:
        return UssdBegin(**values)
    if "reason" in values:
        return UssdEnd(**{**values, "reason": UssdEndReason(values["reason"])})
    if "session" in values:
        return UssdInput(**values)
    return Inbound(**{**values, "received_at": datetime.fromisoformat(values["received_at"])})
