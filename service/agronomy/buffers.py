"""How far from water urine must be poured, from `buffers.toml`."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text

_KEYS = frozenset({"metres"})


class WaterKind(StrEnum):
    """What kind of water lies nearest to a plot."""

    STREAM = "stream"
    LAKE = "lake"
    WELL = "well"  # or a spring
    SUPPLY = "supply"  # of drinking water for many
    LARGE_SUPPLY = "large-supply"


AT_HOME = (WaterKind.STREAM, WaterKind.LAKE, WaterKind.WELL)
"""What a household meets; the supplies are of a waterworks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Buffer:
    """The strip beside a water that is left alone."""

    kind: WaterKind
    metres: float
    origin: Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class BufferWarning:
    """A plot begins within the strip beside a water."""

    distance_m: float
    buffer: Buffer


def buffer_warnings(kind: WaterKind | None, distance_m: float | None) -> tuple[BufferWarning, ...]:
    """Return what to keep clear of, so many metres from the nearest water of a kind.

    Where nobody said which kind it is, the widest of those that a household meets holds. A
    distance that nobody told warns of nothing.
    """
    if distance_m is None:
        return ()
    known = buffers()
    widest = max((known[item] for item in AT_HOME), key=lambda item: item.metres)
    buffer = widest if kind is None else known[kind]
    if distance_m >= buffer.metres:
        return ()
    return (BufferWarning(distance_m=distance_m, buffer=buffer),)


@cache
def buffers() -> Mapping[WaterKind, Buffer]:
    """Return the buffer of every kind of water."""
    return load_buffers(table_text("buffers.toml"))


def load_buffers(text: str) -> Mapping[WaterKind, Buffer]:
    """Return the buffers of a table's text.

    Raises:
        TableError: a kind or key is missing, unknown or of the wrong kind.
    """
    raw = read_tables("buffers.toml", text)
    wanted = {kind.value for kind in WaterKind}
    if raw.keys() != wanted:
        odd = ", ".join(sorted(raw.keys() ^ wanted))
        raise TableError(f"buffers.toml: these kinds of water are missing or not known: {odd}.")
    return MappingProxyType({kind: _buffer(kind, raw[kind.value]) for kind in WaterKind})


def _buffer(kind: WaterKind, raw: Mapping[str, object]) -> Buffer:
    group = Group(f"buffers.toml, {kind.value}", raw, _KEYS)
    return Buffer(kind=kind, metres=group.number("metres"), origin=group.origin)
