"""The far end of a demo's route: phones that hold what was sent, and can text us."""

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol


class HeldText(Protocol):
    """A text that reached the far end; `token` is empty where no record of ours names it."""

    @property
    def token(self) -> str:
        """Our id of the text."""
        ...

    @property
    def text(self) -> str:
        """What it says."""
        ...

    @property
    def at(self) -> datetime:
        """When it came, by the demo's clock."""
        ...


class Phones(Protocol):
    """What the demo and its rules ask of the far end; the fake gateway's pretend phones do."""

    def answer(self, sender: str, text: str, *, to: str, event_id: str | None = None) -> object:
        """Send a text from a phone."""
        ...

    def texts(self) -> Sequence[HeldText]:
        """Return what the phones hold, in order of arrival."""
        ...

    def submitted(self) -> Sequence[HeldText]:
        """Return everything that reached the far end, a text sent twice as two."""
        ...
