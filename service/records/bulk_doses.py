"""Many doses stored or changed at once."""

import sys
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any, NamedTuple, cast

from sqlalchemy import Table, bindparam, insert, update

from service.records.engine import Session
from service.records.fields import DoseRow, DoseState
from service.records.in_parts import in_parts

LINES_A_WRITE = 2_000
TURN_S = 0.0005
_TABLE = cast("Table", DoseRow.__table__)


class NewDose(NamedTuple):
    """A dose that has no row yet: a tuple, since seven are made for each planting."""

    planting_id: int
    number: int
    due_on: date
    closes_on: date
    urine_l: float
    water_l: float
    short_l: float
    state: DoseState
    reason: str | None


class ChangedDose(NamedTuple):
    """What a dose's row holds from now on."""

    dose_id: int
    due_on: date
    closes_on: date
    urine_l: float
    water_l: float
    short_l: float
    revision: int
    state: DoseState
    reason: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseBatch:
    """So many new doses as the database takes them: by texts, or one by one."""

    count: int
    texts: Sequence[str] = ()
    doses: Sequence[NewDose] = ()


class DoseWriter:
    """Stores new doses while the next ones are made.

    Between `start` and `wait` nothing may be asked of the session: its connection is at work.
    """

    def __init__(self, session: Session, association_id: int, pool: Executor) -> None:
        self._session, self._association_id, self._pool = session, association_id, pool
        self._copies = _takes_copy(session)
        self._at_work: Future[None] | None = None

    def batch(self, doses: Iterable[NewDose]) -> DoseBatch:
        """Return doses as the database will take them; this may be done while it is at work."""
        if not self._copies:
            known = list(doses)
            return DoseBatch(count=len(known), doses=known)
        count, texts = 0, []
        for part in in_parts(doses, LINES_A_WRITE):
            count += len(part)
            texts.append(_text(self._association_id, part))
        return DoseBatch(count=count, texts=texts)

    def start(self, batch: DoseBatch) -> None:
        """Begin to store doses."""
        insert_doses(self._session, self._association_id, batch.doses)
        if batch.texts:
            # the keys are checked when all is there, and nobody need stand and wait for that
            self._at_work = self._pool.submit(_copy, _driver(self._session), batch.texts)

    def wait(self) -> None:
        """Return when all is stored that was begun."""
        at_work, self._at_work = self._at_work, None
        if at_work is not None:
            at_work.result()


@contextmanager
def dose_writer(session: Session, association_id: int) -> Iterator[DoseWriter]:
    """Give a writer; at the end of the block, whatever ends it, the connection is at rest."""
    with _short_turns(), ThreadPoolExecutor(max_workers=1) as pool:
        writer = DoseWriter(session, association_id, pool)
        yield writer
        writer.wait()


@contextmanager
def _short_turns() -> Iterator[None]:
    """Let threads take turns more often: else the database waits for its next doses each time."""
    usual_s = sys.getswitchinterval()
    sys.setswitchinterval(min(usual_s, TURN_S))
    try:
        yield
    finally:
        sys.setswitchinterval(usual_s)


def insert_doses(session: Session, association_id: int, doses: Iterable[NewDose]) -> int:
    """Store new doses, and return how many; PostgreSQL takes them in by COPY."""
    session.flush()
    stored, table = 0, insert(_TABLE)
    for part in in_parts(doses, LINES_A_WRITE):
        stored += len(part)
        if _takes_copy(session):
            _copy(_driver(session), [_text(association_id, part)])
            continue
        rows = [{**dose._asdict(), **_FIRST, "association_id": association_id} for dose in part]
        session.execute(table, rows)
    return stored


def update_doses(session: Session, association_id: int, doses: Iterable[ChangedDose]) -> int:
    """Write down what changed in doses stored before, and return how many."""
    session.flush()
    names = [name for name in ChangedDose._fields if name != "dose_id"]
    change = (
        update(_TABLE)
        .where(
            _TABLE.c.id == bindparam("dose_id"),
            _TABLE.c.association_id == bindparam("of_association"),
        )
        .values({name: bindparam(f"new_{name}") for name in names})
    )
    changed = 0
    for part in in_parts(doses, LINES_A_WRITE):
        session.connection().execute(
            change,
            [
                {
                    "dose_id": dose.dose_id,
                    "of_association": association_id,
                    **{f"new_{name}": getattr(dose, name) for name in names},
                }
                for dose in part
            ],
        )
        changed += len(part)
    return changed


_FIRST = {"revision": 1, "told": False}
_COPY = (
    "COPY dose (association_id, planting_id, number, due_on, closes_on, urine_l, water_l, short_l,"
    " state, reason, revision, told) FROM STDIN"
)


def _takes_copy(session: Session) -> bool:
    return session.get_bind().dialect.name == "postgresql"


def _driver(session: Session) -> Any:  # noqa: ANN401 -- the driver of a database we may not have
    return session.connection().connection.driver_connection


def _copy(connection: Any, texts: Iterable[str]) -> None:  # noqa: ANN401 -- as above
    with connection.cursor().copy(_COPY) as copy:
        for text in texts:
            copy.write(text)


def _text(association_id: int, doses: Iterable[NewDose]) -> str:
    return "".join([_line(association_id, dose) for dose in doses])


def _line(association_id: int, dose: NewDose) -> str:
    planting_id, number, due_on, closes_on, urine_l, water_l, short_l, state, reason = dose
    return (
        f"{association_id}\t{planting_id}\t{number}\t{_day(due_on)}\t{_day(closes_on)}\t"
        f"{_litres(urine_l)}\t{_litres(water_l)}\t{_litres(short_l)}\t{state.value}\t"
        f"{reason or _NONE}\t1\tf\n"
    )


_NONE = "\\N"


@lru_cache(maxsize=4_096)
def _day(day: date) -> str:
    return day.isoformat()


@lru_cache(maxsize=65_536)
def _litres(litres: float) -> str:
    return repr(litres)  # the same number comes back
