"""Who plans, sends and receives while a season of the demo is played."""

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from typing import Protocol

from service.bootstrap import Services


def no_wait() -> None:
    """Go on at once: the fake's phones are always at rest."""


class Hands(Protocol):
    """What the season's player asks of whoever does the work."""

    def still(self) -> AbstractContextManager[None]:
        """Let nobody work while the block runs, in which people act and the time moves."""
        ...

    def work(self) -> None:
        """Return once all is done that the moment asks for."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnHands:
    """The player's own process, a step a moment; `settle` waits for a line that takes time."""

    services: Services
    settle: Callable[[], None] = no_wait

    def still(self) -> AbstractContextManager[None]:
        """Do nothing: this process does one thing after another."""
        return nullcontext()

    def work(self) -> None:
        """Take one step."""
        self.settle()
        self.services.step()
        self.settle()
