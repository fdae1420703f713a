"""Errors of a modem and what they mean for a text.

The numbers are those of 3GPP TS 27.005, 3.2.5, TS 24.011, annex E, TS 23.040, 9.2.3.22 and
TS 27.007, 9.2; the classes are our own.
"""

import pytest

from gateway_adapters.contract import Ambiguous, Rejected, RejectKind, Scope
from gateway_adapters.serial_modem.codes import Refusal, after_text, before_text, read_refusal

PERMANENT, TRANSIENT = RejectKind.PERMANENT, RejectKind.TRANSIENT
MESSAGE, ROUTE = Scope.MESSAGE, Scope.ROUTE
ALARM = "The modem cannot read what it was given; report this."
CLASSES = {
    (PERMANENT, MESSAGE): (
        *(1, 28, 30, 69, 81, 95, 96, 97, 98, 99, 111, 127),
        *(195, 196, 304, 305),
    ),
    (PERMANENT, ROUTE): (
        *(8, 10, 50, 198, 199, 330),
        *(310, 311, 312, 313, 315, 316, 317, 318),
    ),
    (TRANSIENT, MESSAGE): (21, 27, 17, 22, 29, 255),
    (TRANSIENT, ROUTE): (
        *(38, 41, 42, 47, 192, 194, 208, 211, 322),
        *(300, 301, 302, 303, 314, 320, 331),
    ),
}
DOUBTS = (332, 340, 500, 512, 513, 9999, 256, 299)
ROWS = [
    pytest.param(f"+CMS ERROR: {code}", kind, scope, id=str(code))
    for (kind, scope), codes in CLASSES.items()
    for code in codes
]


@pytest.mark.parametrize(("line", "kind", "scope"), ROWS)
def test_a_clear_refusal_behind_the_text(line: str, kind: RejectKind, scope: Scope) -> None:
    rejected = after_text(read_refusal(line))

    assert isinstance(rejected, Rejected)
    assert (rejected.kind, rejected.scope) == (kind, scope)
    assert rejected.code == f"cms-{line.removeprefix('+CMS ERROR: ')}"


@pytest.mark.parametrize(
    "line", [*(f"+CMS ERROR: {code}" for code in DOUBTS), "ERROR", "+CME ERROR: 100"]
)
def test_what_the_network_may_have_is_a_doubt(line: str) -> None:
    assert isinstance(after_text(read_refusal(line)), Ambiguous)


@pytest.mark.parametrize(
    "line", [*(f"+CMS ERROR: {code}" for code in (*DOUBTS, 302, 42)), "ERROR", "+CME ERROR: 100"]
)
def test_before_the_prompt_nothing_has_left(line: str) -> None:
    rejected = before_text(read_refusal(line))

    assert (rejected.kind, rejected.scope, rejected.code) == (TRANSIENT, ROUTE, "not-sent")


@pytest.mark.parametrize(
    ("line", "code"),
    [("+CME ERROR: 10", "cme-10"), ("+CMS ERROR:310", "cms-310")],
    ids=["cme", "cms"],
)
def test_a_missing_sim_stops_the_route(line: str, code: str) -> None:
    rejected = before_text(read_refusal(line))

    assert (rejected.kind, rejected.scope, rejected.code) == (PERMANENT, ROUTE, code)


def test_a_defect_of_ours_asks_to_be_reported() -> None:
    for code in (69, 81, 95, 96, 97, 98, 99, 111, 127, 304, 305):
        rejected = after_text(Refusal(code=f"cms-{code}"))

        assert isinstance(rejected, Rejected)
        assert rejected.detail == ALARM


def test_signs_of_a_reset_and_of_a_full_sim() -> None:
    resets = [code for code in range(600) if Refusal(code=f"cms-{code}").of_reset]
    full = [code for code in range(600) if Refusal(code=f"cms-{code}").of_full_sim]

    assert resets == [302, 303]
    assert full == [208, 211, 322]
