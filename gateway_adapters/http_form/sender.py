"""A batch to outcomes: the window, the deadline, and answers that come late.

Runs in the loop's thread alone, so nothing here is locked. At the deadline what has not left is
stopped for good; what has left is ambiguous, and its answer is still awaited up to `total_s`.
"""

import asyncio
import logging
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, Scope
from gateway_adapters.events import LateAnswer
from gateway_adapters.http_form.attempt import Attempt
from gateway_adapters.http_form.exchange import Flight
from gateway_adapters.http_form.requests import Item, Prepared, not_sent, prepare
from gateway_adapters.http_form.rest import Rest
from gateway_adapters.http_form.sending_settings import SendingSettings

_log = logging.getLogger(__name__)
_TOO_LATE = not_sent("The deadline passed before the message's turn came.")
_SILENT = Ambiguous(reason="Sent, and no answer came in time.")


@dataclass(slots=True, kw_only=True, eq=False)
class _Run:
    """One call of `submit`: when it ends, and what has stopped the rest of it."""

    end: float
    stopped: Rejected | None = None
    outcomes: dict[int, Outcome] = field(default_factory=dict)


class Sender:
    """Sends requests, `window` at a time over all callers."""

    def __init__(
        self,
        settings: SendingSettings,
        attempt: Attempt,
        *,
        note: Callable[[Outcome], None],
        late: Callable[[LateAnswer], None],
    ) -> None:
        self._settings = settings
        self._attempt = attempt
        self._note = note
        self._late = late
        self._window = asyncio.Semaphore(settings.window)
        self._rest = Rest()
        self._flights: dict[asyncio.Task[None], Flight] = {}
        self._draining = False

    async def send(self, batch: Sequence[Item], *, left_s: float) -> dict[int, Outcome]:
        """Return the outcome of each place within `left_s` seconds; the batch is not empty."""
        run = _Run(end=asyncio.get_running_loop().time() + left_s)
        requests = prepare(batch, self._settings, size=self._settings.batch_size)
        tasks = {self._begin(request, run): request for request in requests}
        _, pending = await asyncio.wait(tasks, timeout=left_s)
        for task in pending:
            flight = self._flights[task]
            flight.abandoned = True
            self._settle(run, tasks[task].items, flight)
            if not flight.left:
                task.cancel()
        for place, _, _ in batch:
            run.outcomes.setdefault(place, _TOO_LATE)
        return dict(run.outcomes)

    async def drain(self, drain_s: float) -> None:
        """Wait for what is under way, then end it: what is unanswered becomes ambiguous."""
        self._draining = True
        if self._flights:
            await asyncio.wait(list(self._flights), timeout=drain_s)
        for task, flight in list(self._flights.items()):
            flight.abandoned = True
            if flight.limit is None:
                task.cancel()
            else:
                with suppress(RuntimeError):  # it has just ended by itself
                    flight.limit.reschedule(asyncio.get_running_loop().time())
        if self._flights:
            await asyncio.wait(list(self._flights))
        await self._attempt.close()

    def _begin(self, request: Prepared, run: _Run) -> asyncio.Task[None]:
        flight = Flight(at_stake=frozenset(place for place, _, _ in request.items))
        task = asyncio.create_task(self._fly(request, run, flight))
        self._flights[task] = flight
        task.add_done_callback(self._landed)
        return task

    def _landed(self, task: asyncio.Task[None]) -> None:
        self._flights.pop(task, None)
        error = None if task.cancelled() else task.exception()
        if error is not None:
            _log.error("A request failed in the program itself: %s", type(error).__name__)

    async def _fly(self, request: Prepared, run: _Run, flight: Flight) -> None:
        try:
            async with self._window:
                await self._send_one(request, run, flight)
        finally:
            # Also where the program itself fails: what has left is never told as not sent.
            self._settle(run, request.items, flight)

    async def _send_one(self, request: Prepared, run: _Run, flight: Flight) -> None:
        stopped = run.stopped or self._rest.left()
        if self._draining or stopped is not None:
            for place, _, _ in request.items:
                run.outcomes[place] = stopped or _TOO_LATE
            return
        came = await self._attempt.once(request, flight, end=run.end)
        if came.refused_together:
            # One of them is at fault, and nothing says which: each goes by itself.
            for single in prepare(request.items, self._settings, size=1):
                flight.left, flight.at_stake = False, frozenset({single.items[0][0]})
                await self._send_one(single, run, flight)
            return
        for (place, message, _), outcome in zip(request.items, came.outcomes, strict=True):
            known = self._learn(outcome, run)
            run.outcomes.setdefault(place, known)
            if flight.abandoned and isinstance(known, Accepted):
                self._late(
                    LateAnswer(
                        event_id=f"late:{message.token}",
                        token=message.token,
                        gateway_ids=known.gateway_ids,
                    )
                )

    def _learn(self, outcome: Outcome, run: _Run) -> Outcome:
        known = self._rest.learn(outcome)
        self._note(known)
        if isinstance(known, Rejected) and known.scope is Scope.ROUTE:
            run.stopped = run.stopped or known
        return known

    def _settle(self, run: _Run, items: Iterable[Item], flight: Flight) -> None:
        for place, _, _ in items:
            left = flight.left and place in flight.at_stake
            run.outcomes.setdefault(place, _SILENT if left else _TOO_LATE)
