"""Which parts have left, and which of them a report is about.

Pure: time is handed in, in seconds on a scale that only goes forward. A modem's reference is one
octet and comes round again, so a part has an id of its own, and a report is matched by reference
and number among the parts of the last 48 hours, the newest first.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from gateway_adapters.serial_modem.incoming_pdu import StatusReport
from gateway_adapters.serial_modem.records import Ended, Left, Record, Refused, Taken

KEPT_S = 48 * 3600.0
DAY_S = 24 * 3600.0
_ROUND = 256  # references: TS 23.040, 9.2.3.6
_LEAST_SAME = 7  # digits; common practice, no source


@dataclass(slots=True)
class SentPart:
    """A part that has left, the `place`-th one of the book.

    Attributes:
        reference: None until the modem, or a report, has told it.
        before, after: the references told last before it left and first after it, each with how
            many parts lie between; they bound the reference that it can have.
        last_report: of its end; another one with this reference is about another text.
    """

    left: Left
    place: int
    reference: int | None = None
    before: tuple[int, int] | None = None
    after: tuple[int, int] | None = None
    last_report: str = ""


class SentBook:
    """The parts that have left within 48 hours."""

    def __init__(self) -> None:
        self._parts: dict[str, SentPart] = {}
        self._places = 0
        self._told: tuple[int, int] | None = None  # the reference told last, and its place

    def apply(self, record: Record) -> None:
        """Take in one thing that happened; what is about an unknown part changes nothing."""
        match record:
            case Left():
                self._forget_before(record.at - KEPT_S)
                self._add(record)
            case Taken(id=part_id, reference=reference):
                if part := self._parts.get(part_id):
                    self._tell(part, reference)
            case Refused(id=part_id):
                self._parts.pop(part_id, None)
            case Ended(id=part_id, report=report):
                if part := self._parts.get(part_id):
                    part.last_report = report

    def records(self) -> list[Record]:
        """Return the records that make this book again."""
        records: list[Record] = []
        for part_id, part in self._parts.items():
            records.append(part.left)
            if part.reference is not None:
                records.append(Taken(id=part_id, reference=part.reference))
            if part.last_report:
                records.append(Ended(id=part_id, report=part.last_report))
        return records

    def forget_references(self) -> None:
        """Say that the modem may count anew: what is not told yet can have any reference."""
        self._told = None

    def left_since(self, at: float) -> list[float]:
        """Return when the parts left that left after `at`, oldest first."""
        return [part.left.at for part in self._parts.values() if part.left.at > at]

    def find(self, report: StatusReport, *, digest: str, now: float) -> Left | None:
        """Return the part that a report is about; `digest` stands for the report itself.

        A part whose answer never came is only found if it is the only one that it can be.
        """
        parts = [
            part
            for part in reversed(self._parts.values())
            if part.left.at > now - KEPT_S and is_same_number(part.left.to, report.to)
        ]
        for part in parts:
            if part.reference == report.reference and part.last_report in ("", digest):
                return part.left
        untold = [part for part in parts if part.reference is None]
        if len(untold) == 1 and _can_have(untold[0], report.reference):
            return untold[0].left
        return None

    def is_told(self, part_id: str) -> bool:
        """Return whether the reference of a part is known."""
        part = self._parts.get(part_id)
        return part is not None and part.reference is not None

    def whole(self, turn: str) -> tuple[str, ...]:
        """Return the ids of all parts of a text, in order; none unless all of them were taken."""
        parts = sorted(
            (part for part in self._parts.values() if part.left.turn == turn),
            key=lambda part: part.left.number,
        )
        taken = [part.left.id for part in parts if part.reference is not None]
        if not parts or len(taken) < parts[0].left.total:
            return ()
        return tuple(taken)

    def _add(self, left: Left) -> None:
        self._places += 1
        before = None if self._told is None else (self._told[0], self._places - self._told[1])
        self._parts[left.id] = SentPart(left=left, place=self._places, before=before)

    def _tell(self, part: SentPart, reference: int) -> None:
        part.reference = reference
        if part.place < self._places:
            return  # an old doubt, repaired: later parts were told before it
        self._told = reference, part.place
        for older in self._parts.values():
            if older.reference is None and older.after is None:
                older.after = reference, part.place - older.place

    def _forget_before(self, at: float) -> None:
        for part_id in _while_older(self._parts.values(), at):
            del self._parts[part_id]


def is_same_number(ours: str, told: str) -> bool:
    """Return whether a network means our number, which it may tell in its national form."""
    if ours == told:
        return True
    if ours.startswith("+") and told.startswith("+"):
        return False
    significant = told.removeprefix("+").lstrip("0")
    return len(significant) >= _LEAST_SAME and ours.endswith(significant)


def _can_have(part: SentPart, reference: int) -> bool:
    """Return whether the reference fits between its neighbours': each part counts one, or none."""
    fits_before = (
        part.before is None or 1 <= (reference - part.before[0]) % _ROUND <= part.before[1]
    )
    fits_after = part.after is None or 1 <= (part.after[0] - reference) % _ROUND <= part.after[1]
    return fits_before and fits_after


def _while_older(parts: Iterable[SentPart], at: float) -> list[str]:
    old: list[str] = []
    for part in parts:
        if part.left.at > at:
            break
        old.append(part.left.id)
    return old
