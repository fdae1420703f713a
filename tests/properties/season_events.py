"""What may happen in a season: what growers text, what people enter, how a network fails."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from hypothesis import strategies as st

from gateway_adapters.contract import RejectKind, Scope
from gateway_adapters.events import ReceiptState
from gateway_adapters.fake_script import (
    DisorderedReceipts,
    DuplicateReceipt,
    EndsAs,
    NoAnswer,
    NoReceipt,
    ReceiptFirst,
    Reject,
    Step,
    StrayReceipt,
    Throttle,
)
from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.confirmations.crop_news import confirm_sown, confirm_up
from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.outcomes import Desk, Outcome
from service.records.people import Consent

LETTERS = "ADGJ"
DOSE_WORDS = ("{dose}", "{dose}", "{dose} 1", "{dose} 3", "{dose} 9", "{dose} NO", "done", "no")
WORDS = (
    "{dose}", "{plot} SOWN", "{plot} SOWN 2", "{plot} UP", "{plot} UP 1", "{plot} RAIN",
    "{plot} HARVEST", "{plot} BURN", "WHY {plot}", "CAN 1", "CAN", "STOP", "HELP", "JOIN",
    "I do not want this now", "stop it please, {dose}", "the goat ate the maize",
    "{dose} but only half",
)  # fmt: skip
NO_ANSWER = (NoAnswer(delivered=True), NoAnswer(delivered=True), NoAnswer(delivered=False))
FAULTS: tuple[Step | int, ...] = (  # a number: a receipt's delay in hours
    *NO_ANSWER,
    *NO_ANSWER,
    Reject(kind=RejectKind.PERMANENT),
    Reject(kind=RejectKind.TRANSIENT),
    Reject(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE),
    Throttle(retry_after_s=600),
    1,
    60,
    DuplicateReceipt(),
    DisorderedReceipts(),
    StrayReceipt(),
    NoReceipt(),
    EndsAs(state=ReceiptState.FAILED),
    EndsAs(state=ReceiptState.EXPIRED),
    ReceiptFirst(meanwhile=list),
)
CAN_NEWS = (*[CanEventKind.SEALED] * 4, *CanEventKind)
Report = Callable[[Desk, int, int, date], Outcome]
REPORTS: tuple[Report, ...] = (
    lambda desk, planting_id, _, on: confirm_sown(desk, planting_id, on=on),
    lambda desk, planting_id, _, on: confirm_up(desk, planting_id, on=on),
    lambda desk, planting_id, number, on: confirm_done(desk, planting_id, number, on=on),
    lambda desk, planting_id, number, _: confirm_not_done(desk, planting_id, number),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """A household to enrol; days are counted back from the day it is enrolled."""

    number: str
    crop: str
    sown_ago: int
    sealed_ago: int | None
    regime: Regime
    consent: Consent | None
    water_ratio: float
    needs_call: bool


places = st.integers(0, len(LETTERS) - 1)
days_ago = st.integers(0, 12)
homes = st.builds(
    Home,
    number=st.sampled_from(["+255100000001", "+255100000001", "+255100000002", "+255100000003"]),
    crop=st.sampled_from(["maize-grain", "tomato", "kale", "cabbage"]),
    sown_ago=st.integers(-12, 12),
    sealed_ago=st.none() | st.integers(10, 200),
    regime=st.sampled_from([Regime.GENERAL, *Regime]),
    consent=st.sampled_from([Consent.GIVEN, Consent.VERBAL, None]),
    water_ratio=st.sampled_from([0, 2]),
    needs_call=st.sampled_from([False, False, False, True]),
)
FIRST = Home(
    number="+255100000001",
    crop="maize-grain",
    sown_ago=-2,
    sealed_ago=60,
    regime=Regime.GENERAL,
    consent=Consent.GIVEN,
    water_ratio=0,
    needs_call=False,
)
