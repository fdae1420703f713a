"""One round of sending and taking in, over a database whose connection can be cut."""

from collections.abc import Callable
from datetime import timedelta

from sqlalchemy import func, select

from gateway_adapters.events import Inbound
from gateway_adapters.fake import FakeGateway
from service.dispatch.dispatcher import Dispatcher, Lane, Watch
from service.dispatch.receiver import Receiver, Takers
from service.inbound.handler import handle_text
from service.inbound.keeping import Route
from service.records.engine import Session, Sessions, open_engine
from service.records.traffic import MessageRow
from tests.faults.moods import MovedClock
from tests.faults.place import Place
from tests.faults.scissors import Scissors
from tests.unit.outbox.queue import NOW, PHONE, a_draft, plain, put, two_tenants

A_WHILE = timedelta(minutes=3)  # longer than a lease
TWO_DAYS = timedelta(days=2)  # a phone is helped once in 24 hours


class Round:
    """A worker with a queue of its own.

    Attributes:
        heard: what phones have sent.
        on_point: called at each point of the work.
        on_pause: called in place of a pause before what the gateway said is written down again.
    """

    def __init__(self, place: Place) -> None:
        self.place = place
        self.clock = MovedClock(NOW)
        self.network = FakeGateway(clock=self.clock)
        self.heard: list[str] = []
        self.on_point: Callable[[str], object] = lambda _: None
        self.on_pause: Callable[[], object] = lambda: None
        self._point = ""
        self._lane = Lane(
            association_id=1,
            route_id=1,
            name="main",
            sender="15050",
            language="en",
            gateway=self.network,
        )
        two_tenants(place.sessions)
        self.sessions = Sessions(open_engine(place.url))
        self.scissors = Scissors(engine=self.sessions.engine, where=lambda: self._point)

    def fill(self, name: str, many: int) -> None:
        """Queue some texts on a new day, and let a phone send one."""
        self.clock.at += TWO_DAYS
        now = self.clock()
        drafts = [
            a_draft(
                f"{name}.{number}",
                phone_id=None,
                kind="help",
                evening=None,
                due_at=now,
                expires_at=now + TWO_DAYS,
            )
            for number in range(many)
        ]
        put(self.place.sessions, *drafts, now=now)
        self.heard.append(f"HELP {name}")
        self.network.answer(PHONE, self.heard[-1])

    def run(self) -> None:
        """Take in what has come, send what is due, and take in what came of it."""
        self.take_in()
        self.send()
        self.take_in()

    def send(self) -> None:
        """Send what is due."""
        watch = Watch(clock=self.clock, pause=lambda _: self.on_pause(), mark=self._pass)
        self._pass("begun")
        Dispatcher(self.sessions, self._lane, render=plain, watch=watch).run_once()

    def take_in(self) -> None:
        """Take in what has come from the network."""
        takers = Takers(on_text=self._hear, on_ussd=lambda *_: None)
        self._pass("taking in")
        Receiver(
            self.sessions, self._lane, takers=takers, clock=self.clock, mark=self._pass
        ).run_once()

    def wait_a_while(self) -> None:
        """Let the time of a lease pass."""
        self.clock.at += A_WHILE

    def close(self) -> None:
        """Let go of the database."""
        self.sessions.engine.dispose()

    def _hear(self, session: Session, lane: Lane, event: Inbound) -> None:
        route = Route(association_id=lane.association_id, route_id=lane.route_id)
        handle_text(session, route, event, now=self.clock())

    def _pass(self, point: str) -> None:
        if (self._point, point) != ("after-submit", "before-claim"):  # the outcome waits still
            self._point = point
        self.on_point(point)


def newest(sessions: Sessions) -> int:
    """Return the id of the newest text, 0 where there is none."""
    with sessions.read() as session:
        return session.execute(select(func.max(MessageRow.id))).scalar_one() or 0
