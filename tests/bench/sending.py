"""The service's own dispatcher on a database, with a gateway in memory that takes everything."""

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from time import perf_counter

from sqlalchemy import func, select

from gateway_adapters.contract import Accepted, Outcome, Outgoing
from service.clock import system_clock
from service.dispatch.dispatcher import Dispatcher, Lane, Watch
from service.dispatch.rendering import renderer
from service.messages.lifecycle import State
from service.records.engine import Sessions
from service.records.traffic import ClaimRow, MessageEventRow, MessageRow
from tests.bench.crowd import ASSOCIATION, ROUTE
from tests.fresh import shipped_texts

EVENTS_A_TEXT = 2  # claimed, accepted


@dataclass(kw_only=True)
class Acceptor:
    """A gateway that accepts each text under an id of its own, and remembers its token.

    With `log`, an open file, each text's number is also written there at once, so that it outlives
    a killed process; `pause` is called before each.
    """

    tokens: list[str] = field(default_factory=list)
    log: int | None = None
    pause: Callable[[], object] | None = None

    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Take a batch."""
        del deadline
        if self.log is not None or self.pause is not None:
            for message in batch:
                self._note(message.to)
        self.tokens += [message.token for message in batch]
        return [Accepted(gateway_ids=("g" + message.token,)) for message in batch]

    def _note(self, number: str) -> None:
        if self.pause is not None:
            self.pause()
        if self.log is not None:
            os.write(self.log, number.encode() + b"\n")


def dispatcher(sessions: Sessions, gateway: Acceptor, **watch: object) -> Dispatcher:
    """Return the dispatcher of the crowd's association, with the shipped texts."""
    return Dispatcher(
        sessions,
        Lane(
            association_id=ASSOCIATION,
            route_id=ROUTE,
            name="main",
            sender="15050",
            language="en",
            gateway=gateway,  # type: ignore[arg-type]  # -- the dispatcher asks for `submit` alone
        ),
        render=renderer(shipped_texts(), "en"),
        watch=replace(Watch(clock=system_clock), **watch),  # type: ignore[arg-type]  # -- each caller gives the field's own type
    )


def send_all(sessions: Sessions, many: int) -> float:
    """Send all that is due, which must be so many texts; return texts a second.

    Raises:
        SystemExit: one was not sent, or not as it should be: the figure would say nothing.
    """
    gateway = Acceptor()
    sender = dispatcher(sessions, gateway)
    began = perf_counter()
    sent = sender.run_once()
    took_s = perf_counter() - began
    if (sent, len(set(gateway.tokens))) != (many, many):
        raise SystemExit(f"{sent} texts were sent, {len(set(gateway.tokens))} left; not {many}.")
    check_records(sessions, many)
    return many / took_s


def send_some(sessions: Sessions, many: int) -> float:
    """Send batch by batch until so many texts have left, of more; return texts a second."""
    gateway = Acceptor()
    sender = dispatcher(sessions, gateway, go_on=lambda: len(gateway.tokens) < many)
    began = perf_counter()
    sent = sender.run_once()
    took_s = perf_counter() - began
    if sent < many or len(set(gateway.tokens)) != sent:
        raise SystemExit(f"{sent} texts were sent of {many}.")
    return sent / took_s


def check_records(sessions: Sessions, many: int) -> None:
    """See that the records tell of so many texts sent, with their events and without a lease.

    Raises:
        SystemExit: they do not.
    """
    with sessions.read() as session:
        sent = session.scalar(
            select(func.count())
            .select_from(MessageRow)
            .where(
                MessageRow.state == State.SUBMITTED,
                MessageRow.body.is_not(None),
                MessageRow.gateway_id.is_not(None),
            )
        )
        events = session.scalar(select(func.count()).select_from(MessageEventRow))
        leases = session.scalar(select(func.count()).select_from(ClaimRow))
    if (sent, events, leases) != (many, many * EVENTS_A_TEXT, 0):
        raise SystemExit(f"Of {many} texts {sent} are stored as sent; {events} events, {leases}.")
