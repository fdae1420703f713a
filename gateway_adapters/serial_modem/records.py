"""What happens to a part of a text once it leaves, and how that is written on a line. Pure."""

import json
from dataclasses import asdict, dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A part is let go: from here on it may be on the air.

    Attributes:
        id: of the part; the gateway id under which the text is known.
        turn: of the text, and its token.
        number: which part of `total` it is, from 1.
        at: seconds; the origin does not matter as long as it stays the same.
    """

    id: str
    turn: str
    token: str
    to: str
    number: int
    total: int
    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """The network has taken the part, under this reference (0 to 255)."""

    id: str
    reference: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """The network has refused the part: it is on no phone."""

    id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """A report has told the part's end; `report` stands for it."""

    id: str
    report: str


Record = Left | Taken | Refused | Ended
_KINDS: dict[str, type[Record]] = {
    "left": Left,
    "taken": Taken,
    "refused": Refused,
    "ended": Ended,
}
_NAMES = {kind: name for name, kind in _KINDS.items()}


def record_line(record: Record) -> str:
    """Return the record as one line, with its end."""
    return json.dumps({"what": _NAMES[type(record)], **asdict(record)}) + "\n"


def read_record(line: str) -> Record | None:
    """Return the record on a line; None where the line is torn or says something else."""
    try:
        fields = json.loads(line)
        return _KINDS[fields.pop("what")](**fields)
    except (ValueError, TypeError, KeyError, AttributeError):
        return None
