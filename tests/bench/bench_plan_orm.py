"""A whole association planned and stored, against its doses stored as objects, row by row.

The objects are made of rows that are ready: nothing is planned for them.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from time import perf_counter

from sqlalchemy import select

from service.planning.bulk import plan_all
from service.records.fields import DoseRow
from tests.bench.common import Line, Setting, interleave, ratio_line
from tests.bench.estate import ASSOCIATION, NOW, Estate, Place
from tests.bench.life import OPENS_ON

ROUNDS = 5
PLOTS = 10_000
PLANTINGS_A_COMMIT = 500


@dataclass(kw_only=True)
class Rivals:
    """Both ways on one database; `rows` are the doses of which the objects are made."""

    place: Place
    rows: list[dict[str, object]] = field(default_factory=list)

    def plan(self) -> float:
        """Return the doses a second that are planned and stored."""
        self.place.empty()
        began = perf_counter()
        with self.place.sessions.begin() as session:
            stored = plan_all(session, ASSOCIATION, today=OPENS_ON, now=NOW).stored
        took_s = perf_counter() - began
        if not self.rows:
            self.rows = self._stored()
        if stored != len(self.rows):
            raise SystemExit(f"{stored} doses were stored, not {len(self.rows)}.")
        return stored / took_s

    def objects(self) -> float:
        """Return the doses a second that are stored as objects."""
        self.place.empty()
        began, first = perf_counter(), 0
        while part := self._next(first):
            with self.place.sessions.begin() as session:
                session.add_all(DoseRow(**row) for row in part)
            first += len(part)
        return first / (perf_counter() - began)

    def _next(self, first: int) -> list[dict[str, object]]:
        """Return the doses of the next plantings that are stored together."""
        last, seen = first, 0
        before = None
        while last < len(self.rows):
            planting = self.rows[last]["planting_id"]
            seen += planting != before
            if seen > PLANTINGS_A_COMMIT:
                break
            before, last = planting, last + 1
        return self.rows[first:last]

    def _stored(self) -> list[dict[str, object]]:
        columns = [column for column in DoseRow.__table__.c if column.name != "id"]
        order = (DoseRow.planting_id, DoseRow.number)
        with self.place.sessions.read() as session:
            found = session.execute(select(*columns).order_by(*order))
            return [dict(row) for row in found.mappings()]


def plan_vs_orm(setting: Setting, estate: Estate) -> Iterator[Line]:
    """Give the line of 10,000 plots."""
    yield from lines(estate.place(PLOTS), setting.rounds_or(ROUNDS))


def lines(place: Place, rounds: int) -> Iterator[Line]:
    """Give the line."""
    rivals = Rivals(place=place)
    rivals.plan()  # warms up, and gives the rows
    seen = interleave(rounds, {"plan": rivals.plan, "objects": rivals.objects})
    yield ratio_line(
        "plan.vs_orm",
        seen["plan"],
        seen["objects"],
        goal=">=20",
        unit="/s",
        notes=["nothing is planned for the objects"],
    )
