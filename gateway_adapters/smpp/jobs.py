"""A text on its way out: its pieces, each one submit_sm, and the outcome that they add up to."""

from dataclasses import dataclass, field
from enum import Enum, auto

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Outgoing
from gateway_adapters.smpp.addresses import Address
from gateway_adapters.smpp.long_texts import Body


class PieceState(Enum):
    """How far a piece has come."""

    WAITING = auto()
    FLYING = auto()  # handed to the connection, no answer yet
    TAKEN = auto()
    REFUSED = auto()
    LOST = auto()  # left, and no clear answer came
    KEPT = auto()  # will not be sent any more


_OPEN = frozenset({PieceState.WAITING, PieceState.FLYING})


@dataclass(slots=True, eq=False)
class Call:
    """One `submit`: how many of its texts have no outcome yet."""

    unsettled: int = 0


@dataclass(slots=True, eq=False)
class Job:
    """One text. `expires_at` is by the monotonic clock, in seconds."""

    call: Call
    message: Outgoing
    source: Address
    destination: Address
    expires_at: float
    pieces: list["Piece"] = field(default_factory=list)
    outcome: Outcome | None = None
    doubt: str = "no-answer"

    @property
    def gateway_ids(self) -> tuple[str, ...]:
        """The ids given so far, in the order of the pieces."""
        return tuple(piece.gateway_id for piece in self.pieces if piece.gateway_id)

    @property
    def touched(self) -> bool:
        """Whether any piece was handed to a connection and not refused."""
        return any(
            piece.state in (PieceState.FLYING, PieceState.TAKEN, PieceState.LOST)
            for piece in self.pieces
        )

    @property
    def all_taken(self) -> bool:
        """Whether the gateway has taken every piece."""
        return all(piece.state is PieceState.TAKEN for piece in self.pieces)

    def sum_up(self) -> Outcome | None:
        """Return what the pieces add up to; None while one is open."""
        states = {piece.state for piece in self.pieces}
        if states & _OPEN:
            return None
        if states == {PieceState.TAKEN}:
            return Accepted(gateway_ids=self.gateway_ids)
        if PieceState.TAKEN in states:
            return Ambiguous(reason="partial", gateway_ids=self.gateway_ids)
        return Ambiguous(reason=self.doubt)


@dataclass(slots=True, eq=False)
class Piece:
    """One submit_sm of a text."""

    job: Job
    body: Body
    state: PieceState = PieceState.WAITING
    gateway_id: str = ""
    tries: int = 0

    @property
    def is_first(self) -> bool:
        """Whether the text's other pieces wait for this one."""
        return self.job.pieces[0] is self
