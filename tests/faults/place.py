"""A database and a pretend network, which processes share by their addresses."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from service.records.engine import Sessions
from tests.faults.ledger import Ledger, compare, network_of
from tests.faults.nest import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A database with a queue, and the network's folder."""

    url: str
    sessions: Sessions
    network: Path

    def step(
        self, at: datetime, *, crash: str = "", seed: int | None = None, rate_per_s: float = 500
    ) -> Step:
        """Return a step of the service here, of the association that `fill` makes."""
        return Step(
            url=self.url,
            network=str(self.network),
            association="a1",
            at=at.isoformat(),
            crash=crash,
            seed=seed,
            rate_per_s=rate_per_s,
        )

    def ledger(self) -> Ledger:
        """Compare the records with the network."""
        return compare(self.sessions, network_of(self.network))
