"""The book of what has left, kept on disk, and its own steady count of seconds."""

from time import monotonic

from gateway_adapters.contract import Clock
from gateway_adapters.events import ReceiptState
from gateway_adapters.serial_modem.incoming_pdu import StatusReport
from gateway_adapters.serial_modem.journal import Journal
from gateway_adapters.serial_modem.records import Ended, Left, Record, Refused, Taken
from gateway_adapters.serial_modem.sent_book import DAY_S, SentBook
from gateway_adapters.serial_modem.turns import Turn

_MOST_LINES = 10_000  # written before what is older than the book keeps is left out
_FINAL = frozenset({ReceiptState.DELIVERED, ReceiptState.FAILED, ReceiptState.EXPIRED})


class Ledger:
    """What the worker writes down. Only the worker's thread may use it."""

    def __init__(self, journal: Journal, clock: Clock) -> None:
        self.journal = journal
        self._book = SentBook()
        self._is_open = False
        self._lines = 0
        # Ages must go on over a restart, and yet follow no clock that is set back or stands still.
        self._origin = clock().timestamp() - monotonic()

    def now(self) -> float:
        """Return seconds on the scale of the book."""
        return self._origin + monotonic()

    def open(self) -> None:
        """Read what was written before. The modem must be ours by now; later calls do nothing."""
        if self._is_open:
            return
        self._is_open = True
        for record in self.journal.read():
            self._book.apply(record)
        self._book.forget_references()
        self._shorten()

    def left(self, turn: Turn) -> str:
        """Write down that the next part of a text is let go; return the part's id."""
        part_id = f"{turn.id}-{turn.number}"
        self._write(
            Left(
                id=part_id,
                turn=turn.id,
                token=turn.message.token,
                to=turn.message.to,
                number=turn.number,
                total=turn.total,
                at=self.now(),
            )
        )
        return part_id

    def taken(self, part_id: str, reference: int) -> None:
        """Write down that the network took a part."""
        self._write(Taken(id=part_id, reference=reference))

    def refused(self, part_id: str) -> None:
        """Write down that the network refused a part."""
        self._write(Refused(id=part_id))

    def reset(self) -> None:
        """Note that the modem was away and may count its references anew."""
        self._book.forget_references()

    def whole(self, turn_id: str) -> tuple[str, ...]:
        """Return the ids of all parts of a text, none unless all were taken."""
        return self._book.whole(turn_id)

    def match(self, report: StatusReport, *, digest: str) -> tuple[Left, bool] | None:
        """Return the part that a report is about, and whether it is the first sign of it."""
        left = self._book.find(report, digest=digest, now=self.now())
        if left is None:
            return None
        is_first_sign = not self._book.is_told(left.id)
        if is_first_sign:
            self.taken(left.id, report.reference)
        return left, is_first_sign

    def ended(self, part_id: str, state: ReceiptState, *, digest: str) -> None:
        """Write down a report that tells a part's end; one that tells of a try changes nothing."""
        if state in _FINAL:
            self._write(Ended(id=part_id, report=digest))

    def wait_for_room(self, parts: int, *, most: int) -> float | None:
        """Return how many seconds until `parts` more may leave within the day's amount.

        None where they may leave now.
        """
        now = self.now()
        left_at = self._book.left_since(now - DAY_S)
        over = len(left_at) + parts - most
        if over <= 0:
            return None
        return left_at[min(over, len(left_at)) - 1] + DAY_S - now if left_at else DAY_S

    def is_used_up(self, *, most: int) -> bool:
        """Return whether not one more part may leave within the day's amount."""
        return self.wait_for_room(1, most=most) is not None

    def _write(self, record: Record) -> None:
        self._book.apply(record)
        self.journal.add(record)
        self._lines += 1
        if self._lines >= _MOST_LINES:
            self._shorten()

    def _shorten(self) -> None:
        self.journal.rewrite(self._book.records())
        self._lines = 0
