"""Texts without an answer: never more at once than the window, by the far end's own count."""

from io import BufferedIOBase
from threading import Event, Lock, Thread

from gateway_adapters.contract import Accepted, Gateway, Outcome
from tests.gateways.far_ends import SMPP, far_end, opened
from tests.gateways.far_server import Request, answer, far_server
from tests.gateways.http_form_line import opened as opened_http
from tests.gateways.http_form_line import settings_for
from tests.gateways.peers.driver import WAIT_S, modem
from tests.gateways.serial_modem_line import a_route
from tests.gateways.serial_modem_tap import tapped
from tests.outgoing import HALF_MINUTE_LATER, StoppedClock, an_outgoing

TAKEN = answer(200, b'{"id": 17}')


def by_two_callers(gateway: Gateway, many: int) -> list[Outcome]:
    """Send as many texts by each of two threads at once; return the outcomes of both."""
    outcomes: list[Outcome] = []

    def send(caller: str) -> None:
        batch = [an_outgoing(f"{caller}{number}", text=f"A{number}") for number in range(many)]
        outcomes.extend(gateway.submit(batch, deadline=HALF_MINUTE_LATER))

    callers = [Thread(target=send, args=(name,), daemon=True) for name in "ab"]
    for caller in callers:
        caller.start()
    for caller in callers:
        caller.join(WAIT_S)
    return outcomes


def test_a_centre_never_has_more_than_the_window() -> None:
    """C13: it throttles whoever has more than five texts without an answer, and throttles none."""
    faults = {"maxWindow": 5, "lateMs": 5, "receipt": "none"}
    with far_end(SMPP, faults, window=5) as far, opened(far, StoppedClock()) as gateway:
        outcomes = by_two_callers(gateway, 20)

        assert [type(outcome) for outcome in outcomes] == [Accepted] * 40
        assert len(far.arrived()) == 40
        assert far.peer.heard("refused") == []


def test_an_http_gateway_never_has_more_than_the_window() -> None:
    """C13: the far end counts the requests that it has not answered: three, and never four."""
    lock, inside, most = Lock(), 0, 0
    pause = Event()

    def write(request: Request, wire: BufferedIOBase) -> None:
        nonlocal inside, most
        with lock:
            inside += 1
            most = max(most, inside)
        pause.wait(0.02)
        with lock:
            inside -= 1
        TAKEN(request, wire)

    with far_server(write) as server, opened_http(settings_for(server.port, window=3)) as gateway:
        outcomes = by_two_callers(gateway, 10)

    assert [type(outcome) for outcome in outcomes] == [Accepted] * 20
    assert most == 3


def test_a_modem_never_has_more_than_one_text() -> None:
    """C13: each text is answered before the next one is offered."""
    with (
        modem(answer_ms=5, report="none") as (_, device),
        tapped(device) as tap,
        a_route(tap.device, prompt_s=5.0) as gateway,
    ):
        outcomes = by_two_callers(gateway, 5)

        # the tap notes an answer a moment after it has handed it on
        tap.wait(lambda: tap.told().count(b"+CMGS: ") >= 10)
        told = tap.told()
        marks = [mark for mark in told.replace(b"> ", b"\r\n>\r\n").split(b"\r\n") if mark]
        turns = [mark[:1] for mark in marks if mark == b">" or mark.startswith(b"+CMGS: ")]
        assert [type(outcome) for outcome in outcomes] == [Accepted] * 10
        assert turns == 10 * [b">", b"+"]
