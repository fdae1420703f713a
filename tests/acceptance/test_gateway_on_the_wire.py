"""What the far end got beside the text: the parts' reference, and until when the text is good."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from gateway_adapters.contract import Accepted
from service.clock import system_clock
from tests.gateways.far_ends import HTTP, MODEM, SMPP, Far, far_end, opened
from tests.gateways.serial_modem_line import sent_pdus
from tests.outgoing import EVENING, HALF_MINUTE_LATER, PHONE, StoppedClock, an_outgoing

LONG = {"gsm7": "Kesho: shamba A, lita 4. " * 16, "ucs2": "ነገ ውሃ " * 30}
STEP, NO_TIME = timedelta(minutes=31), timedelta()  # a step of TS 23.040, 9.2.3.12.1, and a moment
SLACK = timedelta(seconds=30)  # between two clocks, on a busy machine


def parts_of(far: Far) -> list[tuple[int, int, int]]:
    """Return the reference, number and total of each part that the far end got."""
    if far.make == MODEM:
        return [sent.part for sent in sent_pdus(far.peer) if sent.part is not None]
    headers = [bytes.fromhex(str(item["udh"])) for item in far.peer.heard("submit")]
    return [(header[-3], header[-1], header[-2]) for header in headers]


@pytest.mark.parametrize("text", LONG.values(), ids=LONG.keys())
@pytest.mark.parametrize("make", [SMPP, MODEM])
def test_the_parts_of_a_text_carry_one_reference_and_make_it_whole(make: str, text: str) -> None:
    """C7: TS 23.040, 9.2.3.24.1. The next text to the same phone has another reference."""
    with far_end(make) as far, opened(far, StoppedClock()) as gateway:
        outcomes = gateway.submit(
            [an_outgoing("m1", text=text), an_outgoing("m2", text=text)],
            deadline=HALF_MINUTE_LATER,
        )
        arrived, parts = far.arrived(), parts_of(far)

    total = len(an_outgoing(text=text).segments.parts)
    references = Counter(reference for reference, _, _ in parts)
    assert all(isinstance(outcome, Accepted) for outcome in outcomes)
    assert arrived == [(PHONE, text)] * 2
    assert sorted(references.values()) == [total, total]
    for reference in references:
        assert sorted(part[1:] for part in parts if part[0] == reference) == [
            (number, total) for number in range(1, total + 1)
        ]


def until_of(far: Far) -> datetime:
    """Return until when the far end was told that its only text is good, on the tests' scale."""
    if far.make == MODEM:
        (sent,) = sent_pdus(far.peer)
        assert sent.validity is not None
        return EVENING + sent.validity
    if far.make == HTTP:
        (message,) = far.peer.heard("submit")
        return datetime.fromtimestamp(int(str(message["good_until"])), UTC)
    (submit,) = far.peer.heard("submit")
    words = str(submit["validity"]).split(" (")[0]
    return datetime.strptime(words, "%a %b %d %Y %H:%M:%S GMT%z")


@pytest.mark.parametrize("minutes", [62, 14 * 60 + 7, 24 * 60])
@pytest.mark.parametrize("make", [SMPP, MODEM, HTTP])
def test_a_text_is_good_on_the_wire_no_longer_than_asked(make: str, minutes: int) -> None:
    """C19: to the second, or rounded down to a step that the network knows."""
    body = {"to": "$to", "text": "$text", "token": "$token", "good_until": "$valid_until"}
    settings: dict[str, dict[str, object]] = {
        SMPP: {"validity": "absolute"},
        MODEM: {},
        HTTP: {"valid_until": "unix", "body": body},
    }
    asked = EVENING + timedelta(minutes=minutes)
    with far_end(make, None, **settings[make]) as far, opened(far, StoppedClock()) as gateway:
        (outcome,) = gateway.submit(
            [replace(an_outgoing(), valid_until=asked)], deadline=HALF_MINUTE_LATER
        )
        far.arrived()
        until = until_of(far)

    assert isinstance(outcome, Accepted)
    assert asked - (STEP if make == MODEM else NO_TIME) <= until <= asked


def test_what_is_left_of_a_text_s_time_is_no_longer_than_asked() -> None:
    """C19: the centre reckons by its own clock, so it is told what is left: a day, and no more."""
    with far_end(SMPP) as far, opened(far, StoppedClock()) as gateway:
        before = system_clock()
        gateway.submit([an_outgoing()], deadline=HALF_MINUTE_LATER)
        far.arrived()
        until = until_of(far)

    assert before + timedelta(days=1) - SLACK <= until <= system_clock() + timedelta(days=1)
