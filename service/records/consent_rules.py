"""What the things said about consent amount to, for a phone. Pure."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import NamedTuple

from service.records.people import Consent


class Said(NamedTuple):
    """One thing said, in the order of saying; for one household, or for all whom a phone serves."""

    kind: Consent
    household_id: int | None
    recorded_at: datetime


def agreed_homes(said: Sequence[Said], homes: Collection[int]) -> frozenset[int]:
    """Return the ids of the households, of those a phone serves, that may be texted now.

    A household's spoken yes must come first and the phone's own yes after it; a STOP since then
    ends it for all.
    """
    asked: set[int] = set()
    agreed: set[int] = set()
    for event in said:
        match event.kind:
            case Consent.VERBAL:
                asked |= set(homes) if event.household_id is None else {event.household_id}
            case Consent.GIVEN:
                agreed |= asked
            case Consent.REFUSED | Consent.STOPPED:
                agreed.clear()
    return frozenset(agreed & set(homes))


def unanswered(said: Sequence[Said]) -> int | None:
    """Return the place of the newest spoken yes that is not answered, unless STOP was said."""
    if has_stopped(said):
        return None
    waiting: int | None = None
    for place, event in enumerate(said):
        if event.kind is Consent.VERBAL:
            waiting = place
        elif event.kind is Consent.GIVEN:
            waiting = None
    return waiting


def has_stopped(said: Sequence[Said]) -> bool:
    """Say whether a phone's last own word was to stop."""
    own = _own(said)
    return bool(own) and own[-1].kind in (Consent.REFUSED, Consent.STOPPED)


def last_stop(said: Sequence[Said]) -> datetime | None:
    """Return when a phone's last own word was recorded, where that was to stop."""
    return _own(said)[-1].recorded_at if has_stopped(said) else None


def _own(said: Sequence[Said]) -> list[Said]:
    return [event for event in said if event.kind is not Consent.VERBAL]
