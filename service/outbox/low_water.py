"""From where on to look for what is due: below it all has been taken.

While another connection holds an old snapshot, PostgreSQL cannot forget what was taken; a claim
that looked from the beginning would walk past all of it, batch after batch.
"""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import NamedTuple

FROM_START_EVERY_S = 10.0  # project choice: texts put back, or moved from another route, lie below


class Place(NamedTuple):
    """The place of a text in its queue."""

    due_at: datetime
    message_id: int


START = Place(due_at=datetime.min.replace(tzinfo=UTC), message_id=0)


@dataclass(slots=True, kw_only=True)
class LowWater:
    """The first text of the last batch. `at_s` are seconds of a clock that nobody sets."""

    place: Place = START
    from_start_at_s: float | None = None

    def look_from(self, at_s: float) -> Place:
        """Return from where to look now; from the beginning at times."""
        last = self.from_start_at_s
        if last is None or at_s - last >= FROM_START_EVERY_S:
            self.from_start_at_s, self.place = at_s, START
        return self.place

    def took(self, first: Place) -> None:
        """Look from the first text of a batch on from now on."""
        self.place = first

    def from_start(self) -> bool:
        """Go back to the beginning; say whether the last look began elsewhere."""
        above, self.place = self.place is not START, START
        return above
