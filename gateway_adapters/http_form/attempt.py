"""One request to its outcomes, tried a second time only where the gateway notices that."""

import asyncio
from dataclasses import dataclass

from gateway_adapters.contract import Accepted, Ambiguous, Clock, Outcome, Rejected, Scope
from gateway_adapters.http_form.answers import (
    Answer,
    may_have_been_taken,
    outcome_of,
    outcomes_of,
)
from gateway_adapters.http_form.exchange import Flight, Lost, NotSent, Wire, exchange
from gateway_adapters.http_form.requests import Prepared, not_sent


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """The outcomes of a request, in the order of its messages.

    `refused_together` says that several were refused for a fault that one of them has.
    """

    outcomes: list[Outcome]
    refused_together: bool = False


class Attempt:
    """Sends requests over one wire and reads the answers by the rules of the settings."""

    def __init__(self, wire: Wire, *, clock: Clock) -> None:
        self._wire = wire
        self._settings = wire.settings
        self._clock = clock

    async def once(self, request: Prepared, flight: Flight, *, end: float) -> Came:
        """Return what came of a request; `end` is the loop's time after which none begins anew."""
        came = await self._exchange(request, flight)
        outcomes = self._outcomes(came, many=len(request.items))
        unclear = isinstance(came, Lost) or (isinstance(came, Answer) and may_have_been_taken(came))
        in_time = not flight.abandoned and asyncio.get_running_loop().time() < end
        if unclear and in_time and self._settings.idempotent_submit:
            second = self._outcomes(await self._exchange(request, flight), many=1)
            # Only a yes clears up what the first left open; a no may speak of the second alone.
            return Came(outcomes=second if isinstance(second[0], Accepted) else outcomes)
        together = (
            len(outcomes) > 1
            and isinstance(came, Answer)
            and not came.succeeded
            and isinstance(outcomes[0], Rejected)
            and outcomes[0].scope is Scope.MESSAGE
        )
        return Came(outcomes=outcomes, refused_together=together)

    async def close(self) -> None:
        """Close the transport."""
        await self._wire.transport.aclose()

    async def _exchange(self, request: Prepared, flight: Flight) -> Answer | NotSent | Lost:
        return await exchange(self._wire, request.content, headers=request.headers, flight=flight)

    def _outcomes(self, came: Answer | NotSent | Lost, *, many: int) -> list[Outcome]:
        now, rules = self._clock(), self._settings.rules
        match came:
            case NotSent(reason=reason):
                return [not_sent(reason)] * many
            case Lost(reason=reason):
                return [Ambiguous(reason=reason)] * many
            case Answer() if self._settings.batch_size > 1:
                return outcomes_of(came, rules, many=many, now=now)
            case Answer():
                return [outcome_of(came, rules, now=now)]
