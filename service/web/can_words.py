"""Where a can stands, by which rule it rests, and what happened to it, in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from service.agronomy.containers import CanEventKind, CanState
from service.agronomy.regimes import (
    Regime,
    StoreReason,
    container_ready,
    rest_days,
    rest_rule,
    store_reason,
)
from service.agronomy.rules import rules
from service.planning.stock import Can
from service.records.containers_page import ContainerLine
from service.web.sentence import Sentence, sentence

STATES = {
    CanState.EMPTY: sentence("empty"),
    CanState.FILLING: sentence("being filled"),
    CanState.RESTING: sentence("resting"),
    CanState.READY: sentence("ready"),
    CanState.IN_USE: sentence("in use"),
}
LONGER_REST = sentence("longer rest")
RULES = {
    Regime.OWN_HOUSEHOLD: sentence("rule for food of the own household"),
    Regime.GENERAL: sentence("general rule"),
    Regime.SOLD_PROCESSED: sentence("rule for crops milled, pressed or cooked before sale"),
    Regime.SOLD_ANY: sentence("rule for crops that others eat"),
}
EATERS = {
    Regime.OWN_HOUSEHOLD: sentence(
        "Only the own household, and a month from the last dose to the harvest"
    ),
    Regime.GENERAL: sentence("Only the own household"),
    Regime.SOLD_PROCESSED: sentence("Others, after milling, pressing or cooking"),
    Regime.SOLD_ANY: sentence("Others too, or not known"),
}
_EVENTS = {
    CanEventKind.OPENED: sentence("Opened for filling on %(day)s"),
    CanEventKind.SEALED: sentence("Sealed on %(day)s"),
    CanEventKind.REFILLED: sentence("Topped up on %(day)s"),
    CanEventKind.EMPTIED: sentence("Emptied on %(day)s"),
    CanEventKind.LEAKED: sentence("Found leaking on %(day)s"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CanView:
    """A can as the pages show it."""

    line: ContainerLine
    can: Can

    @property
    def store_c(self) -> float | None:
        """The mean temperature of its store in degrees Celsius, None if not known."""
        return self.can.store_c

    @property
    def state(self) -> Sentence:
        """Where it stands, in a word."""
        return STATES[self.can.state]

    @property
    def ready(self) -> Sentence | None:
        """Its ready day or why none is known here; None while it is not sealed."""
        if self.can.sealed_on is None:
            return None
        return ready_words(self.line.household.regime, self.can.sealed_on, self)

    @property
    def rule(self) -> Sentence | None:
        """The rule of its rest with the numbers put in; None while it is not sealed."""
        if self.can.sealed_on is None:
            return None
        return rest_words(self.line.household.regime, self.can.sealed_on, self)

    @property
    def longer_rest(self) -> bool:
        """Whether the household asked for a longer rest; why is never written down."""
        return self.line.bundle.container.longer_rest


def can_views(lines: Iterable[ContainerLine], cans: Iterable[Can]) -> list[CanView]:
    """Return these cans as they stand today, in the order of the lines."""
    by_id = {can.container_id: can for can in cans}
    return [CanView(line=line, can=by_id[line.bundle.container.id]) for line in lines]


def ready_words(regime: Regime, sealed_on: date, view: CanView) -> Sentence:
    """Return the ready day of a sealed can under a regime, or why it is not known here."""
    found = container_ready(
        sealed_on, regime=regime, longer_rest=view.longer_rest, store_c=view.store_c
    )
    match found.reason:
        case StoreReason.STORE_UNKNOWN:
            return sentence("ready day not known here: store temperature")
        case StoreReason.COLD_STORE:
            return sentence("ready day not known here: the store is cold")
        case None:
            return sentence("ready on %(day)s", day=found.ready_on)


def rest_words(regime: Regime, sealed_on: date, view: CanView) -> Sentence:
    """Return the rule of a sealed can under a regime, with the numbers put in."""
    return sentence(
        "sealed %(day)s + %(days)s days, %(rule)s",
        day=sealed_on,
        days=rest_days(regime, longer_rest=view.longer_rest),
        rule=LONGER_REST if view.longer_rest else RULES[regime],
    )


def store_words(view: CanView) -> Sentence | None:
    """Return what the store's temperature has to do with a can, None where it has nothing."""
    regime, least_c = view.line.household.regime, rules().least_store_celsius
    if not rest_rule(regime, longer_rest=view.longer_rest).needs_warm_store:
        return None
    match store_reason(regime, store_c=view.store_c, longer_rest=view.longer_rest):
        case StoreReason.STORE_UNKNOWN:
            return sentence(
                "This rest counts only in a store of %(least)s °C or more. No store temperature is"
                " recorded, so the can does not become ready here: ask an administrator to record"
                " it.",
                least=least_c,
            )
        case StoreReason.COLD_STORE:
            return sentence(
                "This rest counts only in a store of %(least)s °C or more. Yours is recorded with"
                " %(store)s °C, so the can does not become ready here.",
                least=least_c,
                store=view.store_c,
            )
        case None:
            return sentence(
                "This rest counts only in a store of %(least)s °C or more; yours is recorded with"
                " %(store)s °C.",
                least=least_c,
                store=view.store_c,
            )


def event_words(kind: CanEventKind, *, on: date) -> Sentence:
    """Return what happened to a can on a day."""
    return Sentence(text=_EVENTS[kind].text, values={"day": on})
