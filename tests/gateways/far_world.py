"""A world whose one route leads over a real gateway to a far end of another make.

Texts are queued in its database and leave by its dispatcher; what the far end says comes back by
its receiver, or by the address where the pages take a gateway's posts.
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path
from time import monotonic

from sqlalchemy import func, select

from gateway_adapters.contract import Gateway, WebhookRequest, WebhookResult
from service.bootstrap import Services
from service.clock import system_clock
from service.dispatch.asker import Asker
from service.dispatch.dispatcher import Dispatcher, Lane, Watch
from service.messages.lifecycle import State
from service.outbox.due import Due
from service.outbox.enqueue import Draft, enqueue
from service.outbox.retry import SUBMIT_DEADLINE
from service.records.traffic import MessageEventRow, MessageRow, RouteRow
from tests.gateways import smpp_line
from tests.gateways.far_ends import HTTP, Far, far_end
from tests.gateways.peers.driver import WAIT_S, Peer
from tests.gateways.serial_modem_line import deliver_pdu
from tests.gateways.webhook_inlet import Handle, serving
from tests.web.staff import Wall, office_of
from tests.world import PHONE, ZONE, World, an_association
from tests.world_looks import rows

EVENING = datetime(2027, 3, 14, 18, 0, tzinfo=ZONE)
VALID = timedelta(hours=6)
LOOK_S = 0.05


@dataclass(slots=True, kw_only=True)
class FarWorld:
    """The world, its gateway and the far end; the world's time moves only when a test says so."""

    world: World
    far: Far
    gateway: Gateway
    lane: Lane
    url: str
    _posts: int = field(default=0, init=False)
    _reported: int = field(default=0, init=False)
    _said: int = field(default=0, init=False)

    @property
    def peer(self) -> Peer:
        """The far end's process."""
        return self.far.peer

    @property
    def services(self) -> Services:
        """The world's services."""
        return self.world.services

    def queue(self, *texts: str, number: str = PHONE) -> None:
        """Queue texts that are due now."""
        queue(self.world, self.lane, *texts, number=number)

    def send(self, *texts: str) -> None:
        """Queue texts and let the dispatcher run once."""
        self.queue(*texts)
        self.dispatch()

    def dispatch(self, *, left_s: float | None = None) -> None:
        """Let the dispatcher run once; `left_s` is all the time that it has, where it is given."""

        def earlier() -> datetime:
            now = self.world.clock()
            return now if left_s is None else now + timedelta(seconds=left_s) - SUBMIT_DEADLINE

        Dispatcher(
            self.services.sessions, self.lane, render=written, watch=Watch(clock=earlier)
        ).run_once()

    def take_in(self, *, wait_s: float = 0.0) -> int:
        """Let the receiver run once; return how many events it stored."""
        return self.services.receiver(self.lane).run_once(wait_s=wait_s)

    def step(self) -> None:
        """Do all that the service does for a route in one of its steps."""
        self.take_in()
        self.dispatch()
        self.take_in(wait_s=LOOK_S)
        Asker(self.services.sessions, self.lane, clock=self.world.clock).run_once()

    def later(self, **span: float) -> None:
        """Let time pass in the world, as a span's words: seconds, minutes, hours."""
        self.world.now += timedelta(**span)

    def hear(self, met: Callable[[], bool]) -> None:
        """Take in what comes until something is so; fail where it does not become so."""
        ends = monotonic() + WAIT_S
        while not met():
            assert monotonic() < ends, f"not so in time: {self.states()}, {self.peer.said[-5:]}"
            self.take_in(wait_s=LOOK_S)

    def hear_all(self, state: State) -> None:
        """Take in what comes until every text has a state; an HTTP far end is made to report."""
        if self.far.make == HTTP:
            self.report()
        self.hear(lambda: set(self.states()) == {state})

    def messages(self) -> list[MessageRow]:
        """Return every text, in the order queued."""
        return rows(self.world, MessageRow)

    def states(self) -> list[State]:
        """Return the state of every text, in the order queued."""
        return [row.state for row in self.messages()]

    def steps(self, place: int = 0) -> list[str]:
        """Return what has happened to the text of a place since it was queued, in order."""
        message_id = self.messages()[place].id
        queued, *after = (
            row.event for row in rows(self.world, MessageEventRow) if row.message_id == message_id
        )
        assert queued == "enqueue"
        return after

    def route(self) -> RouteRow:
        """Return the route as it stands in the records."""
        (row,) = rows(self.world, RouteRow)
        return row

    def rests(self) -> bool:
        """Say whether the route may not send now."""
        return (self.route().paused_until or self.world.clock()) > self.world.clock()

    def arrived(self) -> list[str]:
        """Return each whole text that the far end counts, in order."""
        return [text for _, text in self.far.arrived()]

    def say(self, text: str, *, number: str = PHONE) -> None:
        """Let a phone send a text."""
        self._said += 1
        match self.far.make:
            case "smpp":
                smpp_line.say(self.peer, number, text)
            case "serial_modem":
                self.peer.tell(act="inbound", pdu=deliver_pdu(number, text, second=self._said))
            case _:
                self.post({"type": "text", "from": number, "to": "15050", "text": text})

    def report(
        self, state: str = "done", *, naming: Sequence[str] = ("id", "to", "token"), times: int = 1
    ) -> None:
        """Let an HTTP far end report on what it has taken since the last time."""
        messages = self.peer.heard("submit")
        due, self._reported = messages[self._reported :], len(messages)
        for item in due:
            told = {"type": "receipt", "state": state, **{name: item[name] for name in naming}}
            assert self.post(told, times=times) == [200] * times

    def post(
        self,
        document: Mapping[str, object],
        *,
        times: int = 1,
        older_s: int = 0,
        how: Mapping[str, object] | None = None,
    ) -> list[object]:
        """Let an HTTP far end post a document; return the statuses that it was answered."""
        self._posts += 1
        body = json.dumps({"event": self._posts, **document})
        return self.post_body(body, times=times, older_s=older_s, how=how)

    def post_body(
        self,
        body: str,
        *,
        times: int = 1,
        older_s: int = 0,
        how: Mapping[str, object] | None = None,
    ) -> list[object]:
        """Let an HTTP far end post a body; return the statuses that it was answered."""
        before = len(self.peer.heard("posted"))
        # the far end signs by the real time, and the gateway looks at the world's
        age_s = round((system_clock() - self.world.clock()).total_seconds()) + older_s
        act = {"act": "post", "url": self.url, "body": body, "times": times, "ageS": age_s}
        self.peer.tell(**(act | dict(how or {})))
        posted = self.peer.wait_for("posted", count=before + times)[before:]
        return [answer.get("status") for answer in posted]


def queue(world: World, lane: Lane, *texts: str, number: str = PHONE) -> None:
    """Queue texts on a lane, due now; each is written as it stands."""
    now = world.clock()
    with world.services.sessions.begin() as session:
        so_far = session.scalars(select(func.count()).select_from(MessageRow)).one()
        for place, text in enumerate(texts):
            draft = Draft(
                route_id=lane.route_id,
                phone_id=None,
                number=number,
                kind="dose",
                language="en",
                dedupe_key=f"text:{so_far + place}",
                due_at=now - SUBMIT_DEADLINE,
                expires_at=now + VALID,
                fields={"text": text},
            )
            assert enqueue(session, lane.association_id, draft, now=now) is not None


def written(row: Due) -> str:
    """Write a text as it was queued."""
    return str(row.fields["text"])


def pages_take(world: World) -> Handle:
    """Return what lets the pages of a world take a gateway's posts."""
    app = office_of(world, Wall())

    def handle(request: WebhookRequest) -> WebhookResult:
        headers = {key: text for key, text in request.headers.items() if key.lower() != "host"}
        answer = app.test_client().post("/gateways/main/posts", data=request.body, headers=headers)
        return WebhookResult(status=answer.status_code, body=answer.data)

    return handle


def lane_over(world: World, make: str, gateway: Gateway, **route: float) -> Lane:
    """Put a gateway in the place of a world's pretend one; return the way out over it."""
    an_association(world)
    usual = replace(world.services.settings.route, adapter=make, **route)  # type: ignore[arg-type]  # -- each test gives the field's own type
    settings = replace(world.services.settings, routes=(usual,))
    world.services = replace(world.services, settings=settings, gateways={"main": gateway})
    lane = world.services.lane()
    assert lane is not None
    return lane


@contextmanager
def world_on(folder: Path, far: Far, **route: float) -> Iterator[FarWorld]:
    """Put a world before a far end for a block; `route` changes the route's own settings."""
    world = World(folder=folder, now=EVENING)
    gateway = far.open(world.clock)
    lane = lane_over(world, far.make, gateway, **route)
    with serving(pages_take(world)) as url:
        try:
            yield FarWorld(world=world, far=far, gateway=gateway, lane=lane, url=url)
        finally:
            gateway.close(drain_s=0)
            world.close()


@contextmanager
def far_world(
    folder: Path, make: str, faults: Mapping[str, object] | None = None, **settings: object
) -> Iterator[FarWorld]:
    """Run a far end with its faults, and a world before it, for a block."""
    with far_end(make, faults, **settings) as far, world_on(folder, far) as there:
        yield there
