"""How long a gateway asks us to wait (RFC 9110, 10.2.3). Pure."""

import re
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

LONGEST_WAIT_S = 900.0

_SECONDS = re.compile(r"[0-9]{1,9}")


def retry_after_s(value: str | None, *, date: str | None, now: datetime) -> float | None:
    """Return the wait in seconds, at most 15 minutes, or None if nothing readable was said.

    A date is measured against the answer's own `date`, so that clocks that differ do no harm;
    without one against `now`.
    """
    if value is None:
        return None
    text = value.strip()
    if _SECONDS.fullmatch(text):
        return min(float(text), LONGEST_WAIT_S)
    until = _instant(text)
    if until is None:
        return None
    since = (None if date is None else _instant(date)) or now
    return min(max((until - since).total_seconds(), 0.0), LONGEST_WAIT_S)


def _instant(text: str) -> datetime | None:
    try:
        read = parsedate_to_datetime(text)
    except (ValueError, TypeError, OverflowError):
        return None
    return read.replace(tzinfo=UTC) if read.tzinfo is None else read
