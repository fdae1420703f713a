"""How a modem is woken, unlocked and set up, and that a PIN is never tried twice."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from gateway_adapters.contract import HealthState, Rejected, RejectKind, Scope
from tests.gateways.peers.driver import modem
from tests.gateways.serial_modem_line import a_route, arrived
from tests.gateways.serial_modem_scripted import scripted
from tests.gateways.serial_modem_tap import tapped
from tests.outgoing import HALF_MINUTE_LATER, an_outgoing

PIN = "1357"
ENTER = f'AT+CPIN="{PIN}"'
SET_UP = [
    *("AT", "ATE0", "AT+CMEE=1", "AT+CPIN?", "AT+CMGF=0", "AT+CSMS=0"),
    *('AT+CPMS="SM","SM","SM"', "AT+CNMI=2,1,0,1,0", "AT+CREG?", "AT+CSQ", "AT+CPMS?"),
    "AT+CMGL=4",
]


class Sim:
    """A SIM that asks for its PIN until it gets the right one, or has had three wrong ones."""

    def __init__(self, right: str) -> None:
        self.state = "SIM PIN"
        self.wrong = 0
        self._right = right

    def answer(self, command: str) -> Sequence[str] | None:
        """Answer what is asked of the SIM."""
        if command == "AT+CPIN?":
            return f"+CPIN: {self.state}", "OK"
        if not command.startswith('AT+CPIN="'):
            return None
        if command == f'AT+CPIN="{self._right}"':
            self.state, self.wrong = "READY", 0
            return ("OK",)
        self.wrong += 1
        if self.wrong == 3:
            self.state = "SIM PUK"
        return ("+CME ERROR: 16",)


def test_the_steps_come_in_their_order_and_again_after_a_reset() -> None:
    with (
        modem(reset_next=1) as (_, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        gateway.check(deadline=HALF_MINUTE_LATER)
        first = tap.commands()
        gateway.submit([an_outgoing()], deadline=HALF_MINUTE_LATER)
        tap.wait(lambda: tap.commands().count("AT+CMGL=4") == 2)
        again = tap.commands()[len(first) :]

        assert first == SET_UP
        assert again[-len(SET_UP) :] == SET_UP
        assert tap.controls().startswith(b"\x1b")  # a prompt left open would swallow the first AT


def test_a_modem_that_sleeps_is_called_several_times() -> None:
    calls = []

    def answer(command: str) -> Sequence[str] | None:
        if command == "AT":
            calls.append(command)
            return () if len(calls) < 4 else None
        return None

    with scripted(answer) as modem, a_route(modem.device, command_s=0.1) as gateway:
        health = gateway.check(deadline=HALF_MINUTE_LATER)

        assert health.state is HealthState.UP
        assert modem.commands == 3 * ["AT"] + SET_UP


def test_reports_are_stored_where_they_cannot_come_at_once() -> None:
    def answer(command: str) -> Sequence[str] | None:
        return ("+CMS ERROR: 303",) if command == "AT+CNMI=2,1,0,1,0" else None

    with scripted(answer) as modem, a_route(modem.device) as gateway:
        health = gateway.check(deadline=HALF_MINUTE_LATER)

        assert health.state is HealthState.UP
        assert "AT+CNMI=2,1,0,2,0" in modem.commands


def test_a_modem_without_reports_is_told() -> None:
    def answer(command: str) -> Sequence[str] | None:
        announces_reports = command in ("AT+CNMI=2,1,0,1,0", "AT+CNMI=2,1,0,2,0")
        return ("ERROR",) if announces_reports else None

    with scripted(answer) as modem, a_route(modem.device) as gateway:
        health = gateway.check(deadline=HALF_MINUTE_LATER)

        assert (health.state, health.reason) == (
            HealthState.DEGRADED,
            "The modem hands on no receipts.",
        )
        assert "AT+CNMI=2,1,0,0,0" in modem.commands


@pytest.mark.parametrize(
    ("command", "error"),
    [
        pytest.param("AT+CMGF=0", "ERROR", id="no PDU mode"),
        pytest.param('AT+CPMS="SM","SM","SM"', "+CMS ERROR: 313", id="SIM broken"),
        pytest.param("AT+CMGL=4", "+CMS ERROR: 320", id="SIM unreadable"),
    ],
)
def test_a_modem_that_refuses_a_needed_step_is_not_used(command: str, error: str) -> None:
    with (
        scripted(lambda given: (error,) if given == command else None) as modem,
        a_route(modem.device) as gateway,
    ):
        health = gateway.check(deadline=HALF_MINUTE_LATER)
        (outcome,) = gateway.submit([an_outgoing()], deadline=HALF_MINUTE_LATER)

        assert health.state is HealthState.DOWN
        assert isinstance(outcome, Rejected)
        assert outcome.scope is Scope.ROUTE


def test_an_ok_left_over_from_before_does_not_shift_the_answers() -> None:
    """The modem was at a prompt when its last user ended: it answers our first octet."""

    def answer(command: str) -> Sequence[str] | None:
        return ("OK", "OK", "OK") if command == "AT" else None

    with scripted(answer) as modem, a_route(modem.device) as gateway:
        assert gateway.check(deadline=HALF_MINUTE_LATER).state is HealthState.UP


def test_a_prompt_left_open_is_left_without_sending() -> None:
    """A process that was killed between command and text; nothing of ours becomes its text."""
    with modem() as (peer, device), tapped(device) as tap:
        tap.inject(b"AT+CMGF=0\rAT+CMGS=20\r")
        tap.wait(lambda: b"> " in tap.told())
        with a_route(tap.device) as gateway:
            health = gateway.check(deadline=HALF_MINUTE_LATER)

        assert health.state is HealthState.UP
        assert arrived(peer) == []


def test_the_right_pin_unlocks_the_sim(tmp_path: Path) -> None:
    sim = Sim(PIN)
    (tmp_path / "pin").write_text(f"{PIN}\n")
    states = []
    with scripted(sim.answer) as modem:
        for _ in range(2):
            sim.state = "SIM PIN"  # as after a cut of the power
            with a_route(
                modem.device, pin_file=str(tmp_path / "pin"), folder=str(tmp_path / "modem")
            ) as gateway:
                states.append(gateway.check(deadline=HALF_MINUTE_LATER).state)

        assert states == 2 * [HealthState.UP]
        assert modem.commands.count(ENTER) == 2


def test_a_wrong_pin_is_tried_once_also_over_restarts(tmp_path: Path) -> None:
    """Three wrong tries lock a SIM for good; a service may be restarted any number of times."""
    sim = Sim("2468")
    with scripted(sim.answer) as modem:
        for _ in range(5):
            with a_route(modem.device, pin=PIN, folder=str(tmp_path)) as gateway:
                for _ in range(3):
                    health = gateway.check(deadline=HALF_MINUTE_LATER)
                    (outcome,) = gateway.submit([an_outgoing()], deadline=HALF_MINUTE_LATER)

                    assert health.state is HealthState.DOWN
                    assert PIN not in health.reason
                    assert isinstance(outcome, Rejected)
                    assert (outcome.kind, outcome.scope, outcome.code) == (
                        RejectKind.PERMANENT,
                        Scope.ROUTE,
                        "pin-refused",
                    )
        with a_route(modem.device, pin="2468", folder=str(tmp_path)) as gateway:
            mended = gateway.check(deadline=HALF_MINUTE_LATER)

        assert modem.commands.count(ENTER) == 1
        assert mended.state is HealthState.UP


def test_a_pin_whose_answer_was_lost_is_not_tried_again(tmp_path: Path) -> None:
    """The process ends between the PIN and its answer: it may have been wrong."""
    sim = Sim("2468")

    def answer(command: str) -> Sequence[str] | None:
        given = sim.answer(command)
        return () if command == ENTER else given

    with scripted(answer) as modem:
        with a_route(modem.device, pin=PIN, folder=str(tmp_path)) as gateway:
            gateway.receive(wait_s=0, limit=1)
            modem.wait_for(ENTER)
        with a_route(modem.device, pin=PIN, folder=str(tmp_path)) as again:
            health = again.check(deadline=HALF_MINUTE_LATER)

        assert health.state is HealthState.DOWN
        assert modem.commands.count(ENTER) == 1


def test_the_peer_that_takes_no_pin_is_asked_once_too(tmp_path: Path) -> None:
    with modem(sim="SIM PIN") as (_, device), tapped(device) as tap:
        for _ in range(3):
            with a_route(tap.device, pin=PIN, folder=str(tmp_path)) as gateway:
                gateway.check(deadline=HALF_MINUTE_LATER)

        assert tap.commands().count(ENTER) == 1
