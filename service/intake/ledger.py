"""Counts what an import adds and changes, and writes down each change without its values."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from service.records.engine import Session
from service.records.people import AuditRow
from service.records.tasks import audit

ORIGIN = "import"

COLUMN_OF = {"area_id": "area", "regime": "eats", "remind_minute": "remind_at"}
"""The column of a file, where its name is not that of the table's column."""


@dataclass(slots=True, kw_only=True)
class Ledger:
    """The books of one import into one association."""

    session: Session
    association_id: int
    now: datetime
    who: str
    added: int = 0
    changed: int = 0
    unchanged: int = 0

    def count_added(self) -> None:
        """Count a row that is new."""
        self.added += 1

    def settle(
        self,
        subject: str,
        row: Any,  # noqa: ANN401 -- a row of any table
        values: Mapping[str, object],
        *,
        news: Iterable[str] = (),
    ) -> frozenset[str]:
        """Give a standing row its values and return the columns that changed.

        `news` are columns whose change is a fact or a link of its own, already appended.
        """
        differing = [name for name, value in values.items() if getattr(row, name) != value]
        for name in differing:
            setattr(row, name, values[name])
        columns = [*(COLUMN_OF.get(name, name) for name in differing), *news]
        if not columns:
            self.unchanged += 1
            return frozenset()
        self.changed += 1
        entry = AuditRow(
            at=self.now,
            who=self.who,
            what="changed",
            subject=subject,
            subject_id=row.id,
            origin=ORIGIN,
            detail={"columns": columns},
        )
        audit(self.session, self.association_id, entry)
        return frozenset(columns)


@dataclass(slots=True, kw_only=True)
class Touched:
    """What has news that a plan must hear of, by id."""

    areas: set[int] = field(default_factory=set)
    households: set[int] = field(default_factory=set)
    plots: set[int] = field(default_factory=set)
    plantings: set[int] = field(default_factory=set)
