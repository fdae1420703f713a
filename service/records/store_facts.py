"""What a database says of itself: where it lies, how it writes, its time, its newest rows."""

import os
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine, func, select, text

from service.records.engine import Session
from service.records.people import AssociationRow
from service.records.traffic import InboundRow, MessageEventRow

# SQLite's file format: a magic of 16 bytes; bytes 18 and 19 are 1 in a file with a rollback
# journal and 2 in one with a write-ahead log
_MAGIC = b"SQLite format 3\0"
_VERSIONS = slice(18, 20)
_ROLLBACK = b"\x01\x01"
_HEADER = 100
SYNCHRONOUS_FULL = 2  # and 3, EXTRA, waits for the disk even more often


@dataclass(frozen=True, slots=True, kw_only=True)
class AssociationZone:
    """An association's name and the name of its time zone."""

    name: str
    zone: str


def database_file(engine: Engine) -> Path | None:
    """Return the file of a SQLite database, there or not; None for one in memory or a server's."""
    name = engine.url.database
    if engine.dialect.name != "sqlite" or not name or name == ":memory:":
        return None
    return Path(name)


def has_rollback_journal(file: Path) -> bool:
    """Say whether a SQLite file is kept with a rollback journal, not with a write-ahead log.

    Looks at the file's first bytes alone: a connection of the service would change the answer.

    Raises:
        OSError: the file cannot be read.
    """
    with file.open("rb") as opened:
        header = opened.read(_HEADER)
    return header.startswith(_MAGIC) and header[_VERSIONS] == _ROLLBACK


def waits_for_disk(engine: Engine) -> bool:
    """Say whether a commit in SQLite waits until the disk has it (synchronous FULL or EXTRA)."""
    with engine.connect() as connection:
        level = int(connection.execute(text("PRAGMA synchronous")).scalar_one())
    return level >= SYNCHRONOUS_FULL


def takes_writes(engine: Engine) -> bool:
    """Say whether anything can be stored.

    Not by a server that is another's copy or was told to be read alone, nor in a file where this
    user may not write, or on a disk that the system has made read-only.
    """
    if engine.dialect.name == "postgresql":
        with engine.connect() as connection:
            told: str = connection.execute(text("SHOW transaction_read_only")).scalar_one()
        return told != "on"
    file = database_file(engine)
    return file is None or (os.access(file, os.W_OK) and os.access(file.parent, os.W_OK))


def server_time(engine: Engine) -> datetime | None:
    """Return what the database server's clock shows; None where there is no server."""
    if engine.dialect.name != "postgresql":
        return None
    with engine.connect() as connection:
        shown: datetime = connection.execute(select(func.clock_timestamp())).scalar_one()
    return shown


def newest_instant(session: Session) -> datetime | None:
    """Return the latest instant at which a text took a step or came in, of any association."""
    steps = select(MessageEventRow.at).order_by(MessageEventRow.at.desc()).limit(1)
    texts = select(InboundRow.received_at).order_by(InboundRow.received_at.desc()).limit(1)
    return max((*session.scalars(steps), *session.scalars(texts)), default=None)


def association_zones(session: Session) -> list[AssociationZone]:
    """Return every association's zone, oldest first; asks only what tables of any version have."""
    rows = session.execute(
        select(AssociationRow.name, AssociationRow.zone).order_by(AssociationRow.id)
    )
    return [AssociationZone(name=row.name, zone=row.zone) for row in rows]
