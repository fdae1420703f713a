"""Ids for events that the gateway gives none.

A deliver_sm has no id, and one that was not acknowledged comes again with the same content. So
the id is made of the content. As long as an event is not acknowledged, the same content is the
same event; afterwards it is a new text that happens to say the same. A new process does not know
what the last one acknowledged: there the hour keeps the same words of another day apart, and the
same words of one phone within the hour may pass for one text.
"""

from collections import OrderedDict
from datetime import UTC, datetime
from hashlib import sha256

_REMEMBERED = 10_000
_UNANSWERED_S = 3600.0


def digest(*parts: object) -> str:
    """Return a short word for these values, not to be turned back."""
    return sha256(repr(parts).encode()).hexdigest()[:24]


class Marks:
    """Ids of texts from phones."""

    def __init__(self) -> None:
        self._open: OrderedDict[str, tuple[str, float]] = OrderedDict()
        self._counts: OrderedDict[str, int] = OrderedDict()
        self._contents: dict[str, str] = {}

    def id_of(self, content: str, *, at: datetime, now: float) -> str:
        """Return the id of a text of this content, at this instant and monotonic second."""
        self._tidy(now)
        known = self._open.get(content)
        if known is not None:
            return known[0]
        stem = f"{content}-{at.astimezone(UTC):%y%m%d%H}"
        count = self._counts.pop(stem, 0)
        self._counts[stem] = count + 1
        event_id = f"in-{stem}-{count}"
        self._open[content] = (event_id, now)
        self._contents[event_id] = content
        return event_id

    def finish(self, event_id: str) -> None:
        """Take the next text of this content for a new one."""
        content = self._contents.pop(event_id, None)
        if content is not None:
            self._open.pop(content, None)

    def _tidy(self, now: float) -> None:
        while self._open:
            content, (event_id, since) = next(iter(self._open.items()))
            if now - since < _UNANSWERED_S and len(self._open) < _REMEMBERED:
                break
            del self._open[content]
            del self._contents[event_id]
        while len(self._counts) > _REMEMBERED:
            self._counts.popitem(last=False)
