"""When to try again, and how long things may take. Pure."""

from datetime import datetime, timedelta

LEASE = timedelta(seconds=120)
SUBMIT_DEADLINE = timedelta(seconds=30)
MAX_TRIES = 3
MOST_REFUSALS = 5  # of a route, one after another
ROUTE_REST = timedelta(minutes=30)  # project choice: longer than a short fault of a network
ORPHAN_KEPT = timedelta(hours=1)
PATIENCE = timedelta(minutes=5)  # project choice: a short pause is waited out at the same route
ASKED_AFTER = (timedelta(minutes=1), timedelta(minutes=10))  # a text in doubt, twice
PARTS_WAITED = timedelta(hours=24)  # for the other pieces of a long text
TRIAL_VALID = timedelta(minutes=15)
CLOCK_BACK = timedelta(minutes=5)  # project choice: what a time server sets back is less
CLOCK_AHEAD = timedelta(hours=26)  # project choice: a day off, and two hours more
CLOCK_KEPT = timedelta(seconds=30)  # between one writing down of a trusted instant and the next
WORKER_SILENT = timedelta(seconds=60)  # six beats missed
WORKER_FORGOTTEN = timedelta(days=7)
_FIRST_WAIT_S = 30
_LONGEST_WAIT_S = 900  # a gateway's own Retry-After is capped here as well


def lease_ends(now: datetime) -> datetime:
    """Return when a claim made now runs out."""
    return now + LEASE


def submit_deadline(now: datetime) -> datetime:
    """Return when a submit begun now must have ended."""
    return now + SUBMIT_DEADLINE


def orphan_limit(now: datetime) -> datetime:
    """Return the instant before which an unmatched receipt is filed away."""
    return now - ORPHAN_KEPT


def worker_silent(now: datetime) -> datetime:
    """Return the instant after which every living process has said that it lives."""
    return now - WORKER_SILENT


def worker_forgotten(now: datetime) -> datetime:
    """Return the instant before which nobody asks any more what became of a process."""
    return now - WORKER_FORGOTTEN


def next_try_at(tries: int, now: datetime, *, asked_s: float | None) -> datetime:
    """Return when to try again after `tries` refusals, heeding the wait the gateway asked for."""
    wait_s = _FIRST_WAIT_S * (1 << max(0, tries - 1)) if asked_s is None else asked_s
    return now + timedelta(seconds=min(max(wait_s, 1), _LONGEST_WAIT_S))


def tokens_now(tokens: float, tokens_at: datetime, now: datetime, rate_per_s: float) -> float:
    """Return what a token bucket of at most one second's worth holds now (at least one text)."""
    grown = tokens + max(0.0, (now - tokens_at).total_seconds()) * rate_per_s
    return min(grown, max(rate_per_s, 1.0))
