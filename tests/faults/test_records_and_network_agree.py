"""Thousands of texts through the queue while the message centre fails in every way.

The centre's own log is compared with our records, text by text: what the records call sent is
there once, what they call not sent is not there, and nothing is there twice.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select

from gateway_adapters.contract import Gateway
from gateway_adapters.smpp.opening import open_smpp
from service.dispatch.dispatcher import Dispatcher, Lane, Watch
from service.dispatch.receiver import Receiver, Takers
from service.messages.lifecycle import State
from service.outbox.due import Due
from service.records.engine import Sessions, open_engine
from service.records.traffic import MessageRow, RouteRow
from tests.fresh import fresh_database
from tests.gateways.peers.driver import Peer, message_centre
from tests.gateways.smpp_line import smpp_settings, texts_of
from tests.peers.dice import Dice
from tests.unit.outbox.queue import NOW, a_draft, put, two_tenants

SEED, TEXTS, STEPS = 20270315, 5_000, 600
STEP = timedelta(seconds=61)  # a pause of a route is over, a text in doubt may be asked about
WELL: dict[str, object] = {"receiptFirst": False, "receiptTimes": 1, "splitMs": 0}
ONCE = (State.SUBMITTED, State.DELIVERED)
NEVER = (State.QUEUED, State.FAILED, State.EXPIRED, State.CANCELLED)


@dataclass(slots=True)
class Clock:
    """The service's time, which only the test moves."""

    at: datetime = NOW

    def __call__(self) -> datetime:
        """Return the instant it stands at."""
        return self.at


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The sending side over a database, and the centre."""

    sessions: Sessions
    clock: Clock
    dispatcher: Dispatcher
    receiver: Receiver
    peer: Peer


@pytest.fixture
def way(tmp_path: Path) -> Iterator[Way]:
    """A database with a route to a message centre of another make."""
    sessions = Sessions(open_engine(fresh_database(tmp_path)))
    two_tenants(sessions, rate_per_s=100)
    clock = Clock()
    with message_centre() as (peer, port):
        gateway: Gateway = open_smpp(
            smpp_settings(port, answer_timeout_s=0.3, reconnect_s=0.01), clock
        )
        lane = Lane(
            association_id=1,
            route_id=1,
            name="main",
            sender="15050",
            language="en",
            ussd_max=160,
            gateway=gateway,
        )
        takers = Takers(on_text=lambda *_: None, on_ussd=lambda *_: None)
        yield Way(
            sessions=sessions,
            clock=clock,
            dispatcher=Dispatcher(sessions, lane, render=written, watch=Watch(clock=clock)),
            receiver=Receiver(sessions, lane, takers=takers, clock=clock),
            peer=peer,
        )
        gateway.close(drain_s=0)
    sessions.engine.dispose()


def written(row: Due) -> str:
    """Write a text that names itself; some are long."""
    number = int(row.dedupe_key)
    return f"{number:05} shamba A, lita 4." + " Jibu A3." * (25 if number % 7 == 0 else 1)


def fault(dice: Dice) -> dict[str, object]:
    some = dice.between(1, 4)
    faults: dict[str, dict[str, object]] = {
        "drop": {"dropNext": 1},
        "lost": {"lostNext": 1},
        "silent": {"silentNext": some},
        "throttle": {"throttleNext": some},
        "reject": {"rejectNext": some, "rejectStatus": dice.pick((0x0B, 0x45))},
        "first": {"receiptFirst": True},
        "twice": {"receiptTimes": 2},
        "split": {"splitMs": 1},
        "none": {},
    }
    return faults[dice.pick(list(faults))]


def waiting(way: Way) -> int:
    with way.sessions.read() as session:
        query = select(func.count()).where(MessageRow.state.in_((State.QUEUED, State.CLAIMED)))
        return session.scalars(query).one()


@pytest.mark.slow
@pytest.mark.long
def test_every_text_is_in_the_centre_s_log_as_our_records_say(way: Way) -> None:
    dice, until = Dice(SEED), NOW + STEP * (STEPS + 1)
    put(
        way.sessions,
        *(
            a_draft(
                str(number),
                phone_id=None,
                evening=None,
                number=f"+2551000000{number % 100:02}",
                expires_at=until,
            )
            for number in range(TEXTS)
        ),
    )

    for _ in range(STEPS):
        way.peer.tell(**WELL | fault(dice))
        way.dispatcher.run_once()
        way.receiver.run_once(wait_s=0.02)
        way.clock.at += STEP
        if not waiting(way):
            break
    way.peer.tell(**WELL)
    way.receiver.run_once(wait_s=1.0)

    log = way.peer.heard("submit")
    in_log = Counter(text[:5] for _, text in texts_of(log))
    with way.sessions.read() as session:
        states = {
            f"{int(row.dedupe_key):05}": row.state for row in session.scalars(select(MessageRow))
        }
        assert session.get_one(RouteRow, 1).stopped_at is None
    counts = Counter(states.values())
    assert len(states) == TEXTS
    assert counts[State.DELIVERED] > 0.8 * TEXTS
    assert min(counts[State.UNKNOWN] + counts[State.SUBMITTED], counts[State.FAILED]) >= 1
    assert [name for name, times in in_log.items() if times > 1] == []
    assert [name for name, state in states.items() if state in ONCE and in_log[name] != 1] == []
    assert [name for name, state in states.items() if state in NEVER and in_log[name]] == []
