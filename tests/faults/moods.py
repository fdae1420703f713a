"""A pretend network in every mood: what it does with each text follows from a seed alone."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from zlib import crc32

from typing_extensions import override

from gateway_adapters.contract import Outcome, Outgoing, RejectKind, Scope
from gateway_adapters.events import ReceiptState
from gateway_adapters.fake import FakeGateway
from gateway_adapters.fake_script import (
    DisorderedReceipts,
    DuplicateReceipt,
    EndsAs,
    LateReceipt,
    NoAnswer,
    NoReceipt,
    ReceiptFirst,
    Reject,
    Step,
    StrayReceipt,
    Throttle,
)
from service.dispatch.dispatcher import Mark
from tests.peers.dice import Dice

LATE = timedelta(minutes=20)
SLOW = timedelta(seconds=40)  # longer than a submit may take: what follows finds no time left
_WELL = ("well",) * 12
_MOODS = (
    *_WELL,
    *("refused", "refused for now", "route refused", "throttled", "slow"),
    *("silent, id known", "silent, taken", "silent, lost"),
    *("twice", "twice", "first", "first", "late", "late", "never", "disordered", "stray"),
    *("failed", "expired"),
)


class MoodyGateway(FakeGateway):
    """A pretend network of which each text meets a mood, drawn from the seed, text and instant."""

    def __init__(self, folder: Path, clock: "MovedClock", *, seed: int | None, mark: Mark) -> None:
        """Open the network in a folder; without a seed all goes well."""
        super().__init__(clock=clock, folder=folder)
        self._moved, self._seed, self._mark = clock, seed, mark
        self.meanwhile: Callable[[], object] = lambda: None

    @override
    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Hand over one text after another."""
        outcomes: list[Outcome] = []
        for message in batch:
            self.script = [] if self._seed is None else self._script(message, self._seed)
            outcomes += super().submit([message], deadline=deadline)
            self._mark("text-out")
        return outcomes

    def _script(self, message: Outgoing, seed: int) -> list[Step]:
        now = self._moved()
        dice = Dice(seed + crc32(f"{message.text} {now.isoformat()}".encode()))
        mood = dice.pick(_MOODS)
        if mood == "slow":
            self._moved.at += SLOW
        step = self._step(mood, now)
        return [] if step is None else [step]

    def _step(self, mood: str, now: datetime) -> Step | None:
        steps: dict[str, Step] = {
            "refused": Reject(kind=RejectKind.PERMANENT),
            "refused for now": Reject(kind=RejectKind.TRANSIENT),
            "route refused": Reject(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE),
            "throttled": Throttle(retry_after_s=5),
            "silent, id known": NoAnswer(delivered=True, id_known=True),
            "silent, taken": NoAnswer(delivered=True),
            "silent, lost": NoAnswer(delivered=False),
            "twice": DuplicateReceipt(),
            "first": ReceiptFirst(meanwhile=self.meanwhile),
            "late": LateReceipt(due_at=now + LATE),
            "never": NoReceipt(),
            "disordered": DisorderedReceipts(),
            "stray": StrayReceipt(),
            "failed": EndsAs(state=ReceiptState.FAILED, code="gone"),
            "expired": EndsAs(state=ReceiptState.EXPIRED),
        }
        return steps.get(mood)


class MovedClock:
    """A time that stands still until it is moved."""

    def __init__(self, at: datetime) -> None:
        self.at = at

    def __call__(self) -> datetime:
        """Return the instant at which it stands."""
        return self.at
