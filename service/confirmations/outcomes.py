"""What a report has led to, as values; the caller finds the words."""

from dataclasses import dataclass
from datetime import date, datetime

from service.records.engine import Session
from service.records.fields import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """Where a report is taken: the open transaction, the tenant, who says it, and when.

    `noted_by` names the member of staff who wrote it down, if one did.
    """

    session: Session
    association_id: int
    source: Source
    today: date
    now: datetime
    noted_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A dose is noted; the next is due on `next_on`. `moved`: its day has changed for this."""

    code: str
    letter: str
    on: date
    next_on: date
    moved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LastDone:
    """The season's last dose is noted, or one after the last day for it."""

    code: str
    letter: str
    crop: str
    harvest_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Unready:
    """A dose is noted that came from a container not yet safe."""

    code: str
    letter: str
    harvest_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class TooMuch:
    """A dose is noted that no rule allows now; more must wait until `next_on`, if ever."""

    letter: str
    given_l: float
    max_l: float
    next_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """The dose was noted before; nothing changes."""

    code: str
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class NotDone:
    """A dose is known not to be done; it may still be until `until`."""

    code: str
    until: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Sown:
    """A sowing or planting day is noted."""

    letter: str
    crop: str
    on: date
    next_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Up:
    """The day the plants came up is noted."""

    letter: str
    on: date
    next_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A dose waits for the rain to pass; None: it is left out."""

    code: str
    letter: str
    next_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Harvested:
    """A harvest is noted; `safe_on` is set where it came before the safe day."""

    letter: str
    on: date
    safe_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sealed:
    """A container is noted as sealed."""

    number: int
    on: date
    wait_days: int
    ready_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Burnt:
    """Burnt leaves are noted, and the next dose waits for a person."""

    letter: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedsReading:
    """The report cannot be right as it stands: a person must read it. Nothing was recorded."""

    hint: str


Outcome = (
    Done
    | LastDone
    | Unready
    | TooMuch
    | Again
    | NotDone
    | Sown
    | Up
    | Held
    | Harvested
    | Sealed
    | Burnt
    | NeedsReading
)
