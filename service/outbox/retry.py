"""When to try again, and how long things may take. Pure."""

from datetime import datetime, timedelta

LEASE = timedelta(seconds=120)
SUBMIT_DEADLINE = timedelta(seconds=30)
MAX_TRIES = 3
ORPHAN_KEPT = timedelta(hours=1)
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


def next_try_at(tries: int, now: datetime, *, asked_s: float | None) -> datetime:
    """Return when to try again after `tries` refusals, heeding the wait the gateway asked for."""
    wait_s = _FIRST_WAIT_S * (1 << max(0, tries - 1)) if asked_s is None else asked_s
    return now + timedelta(seconds=min(max(wait_s, 1), _LONGEST_WAIT_S))


def tokens_now(tokens: float, tokens_at: datetime, now: datetime, rate_per_s: float) -> float:
    """Return what a token bucket of at most one second's worth holds now (at least one text)."""
    grown = tokens + max(0.0, (now - tokens_at).total_seconds()) * rate_per_s
    return min(grown, max(rate_per_s, 1.0))
