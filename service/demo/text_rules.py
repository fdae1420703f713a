"""What must hold of texts that are sent once, and of those that take a dose back. From the rows."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from service.outbox.enqueue import base_key
from service.planning.corrections import CORRECTION_KINDS
from service.planning.tick import NOTICE_KINDS
from service.records.traffic import MessageDoseRow, MessageRow


def notices_twice(left: Sequence[MessageRow]) -> Iterator[str]:
    """Name the notices that left more than once."""
    once = (*NOTICE_KINDS, *CORRECTION_KINDS)
    keys = Counter(base_key(row.dedupe_key) for row in left if row.kind in once)
    yield from (f"notice {key} left {count} times" for key, count in keys.items() if count > 1)


def told_after_taken_back(
    left: Sequence[MessageRow],
    at: Mapping[int, datetime],
    links: Mapping[int, Sequence[MessageDoseRow]],
) -> Iterator[str]:
    """Name the texts that tell of a dose for a day that was taken back before."""
    back: dict[str, datetime] = {}
    for row in left:
        if row.kind in CORRECTION_KINDS:
            _, _, doses = base_key(row.dedupe_key).split(":", 2)
            back |= {dose: min(at[row.id], back.get(dose, at[row.id])) for dose in doses.split(",")}
    for row in left:
        for link in links.get(row.id, ()):
            taken_at = back.get(f"{link.dose_id}.{link.due_on}")
            if taken_at is not None and taken_at < at[row.id]:
                yield f"message {row.id} tells of a dose that was taken back"
