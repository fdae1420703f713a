"""A household's cans against what its doses need: enough or not, what to do, and each can. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.balance import Balance, Suggestion
from service.agronomy.containers import CanState
from service.agronomy.regimes import Regime, container_ready
from service.planning.allotting import eaters_of
from service.planning.stock import Can
from service.web.can_words import EATERS, STATES
from service.web.home_store import HomeStore
from service.web.sentence import Sentence, sentence

_LEAST_L = 0.05  # less is the noise of rounding
_SUGGESTIONS: Mapping[Suggestion, Sentence] = {
    Suggestion.SERVE_YOUNG: sentence(
        "Serve the youngest plots first, and leave out doses of the older ones."
    ),
    Suggestion.HALVE: sentence(
        "More than half is missing: plan half of the ground, or half the litres a square metre."
    ),
    Suggestion.DROP_LAST: sentence("Leave out the last dose: that closes the gap."),
    Suggestion.COLLECT_MORE: sentence("Fill one more can, if it can rest in time."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyLine:
    """When a can is ready for one kind of eater."""

    eats: Sentence
    ready: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLine:
    """One can: what it holds (None: nobody has measured) and when it is ready.

    `expected` says when one not sealed yet will be.
    """

    container_id: int
    number: int
    state: Sentence
    volume_litres: float
    litres: float | None
    expected: Sentence | None
    ready: tuple[ReadyLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StockSheet:
    """A household's cans against its need; `head` is None while no dose is to come.

    `empty` are the cans that nothing is expected of.
    """

    head: Sentence | None
    more: tuple[Sentence, ...]
    suggestions: tuple[Sentence, ...]
    lines: tuple[StockLine, ...]
    empty: tuple[StockLine, ...]


def stock_sheet(store: HomeStore) -> StockSheet:
    """Return how the cans of a household stand against its doses to come."""
    balance = store.balance
    lines = [_line(store, can) for can in store.cans]
    empty = [line for line in lines if not line.ready and line.litres == 0]
    return StockSheet(
        head=balance_words(store),
        more=tuple(_more(balance)),
        suggestions=tuple(_SUGGESTIONS[each] for each in balance.suggestions)
        if is_short(balance)
        else (),
        lines=tuple(line for line in lines if line not in empty),
        empty=tuple(empty),
    )


def is_short(balance: Balance) -> bool:
    """Say whether more is missing than the noise of rounding."""
    return balance.short_litres > _LEAST_L


def balance_words(store: HomeStore) -> Sentence | None:
    """Return whether the cans are enough for the doses to come; None where none is to come."""
    balance = store.balance
    if not store.stock.asks:
        return None
    if not is_short(balance):
        return sentence(
            "Enough for all doses to come: %(litres)s L.", litres=round(balance.wanted_litres, 2)
        )
    return sentence(
        "Short by %(short)s L: serves %(served)s m² fully, of %(area)s m².",
        short=round(balance.short_litres, 2),
        served=_floored(balance.area_served_m2),
        area=round(balance.area_m2, 2),
    )


def _floored(area_m2: float) -> float:
    whole = int(area_m2 + _LEAST_L)
    return whole if area_m2 >= 1 else round(area_m2, 2)


def _more(balance: Balance) -> Iterator[Sentence]:
    if is_short(balance):
        yield sentence(
            "The doses to come want %(wanted)s L; they get %(have)s L.",
            wanted=round(balance.wanted_litres, 2),
            have=round(balance.have_litres, 2),
        )
    if balance.forecast_litres > _LEAST_L:
        yield sentence(
            "%(litres)s L of it are expected: they come from cans not sealed yet.",
            litres=round(balance.forecast_litres, 2),
        )


def _line(store: HomeStore, can: Can) -> StockLine:
    full_on = _full_on(store, can)
    return StockLine(
        container_id=can.container_id,
        number=can.number,
        state=STATES[can.state],
        volume_litres=can.standing.facts.volume_litres,
        litres=None if can.state is CanState.FILLING else round(can.litres, 2),
        expected=None
        if full_on is None
        else sentence("expected: full and sealed about %(day)s", day=full_on),
        ready=tuple(
            ReadyLine(eats=EATERS[regime], ready=ready)
            for regime in _regimes(store)
            for ready in _ready(can, full_on, regime, store.today)
        ),
    )


def _full_on(store: HomeStore, can: Can) -> date | None:
    found = [
        stock.sealed_on
        for stock in store.stock.stocks
        if stock.can == can.container_id and stock.forecast
    ]
    return min(found, default=None)


def _regimes(store: HomeStore) -> Sequence[Regime]:
    """Return who eats the crops of the household's plots, or of the household without any."""
    found = {eaters_of(state.bundle) for state in store.states} or {store.household.regime}
    return [regime for regime in Regime if regime in found]


def _ready(can: Can, full_on: date | None, regime: Regime, today: date) -> Iterator[Sentence]:
    sealed_on = can.sealed_on or full_on
    if sealed_on is None:
        return
    on = container_ready(
        sealed_on,
        regime=regime,
        longer_rest=can.standing.facts.longer_rest,
        store_c=can.store_c,
    ).ready_on
    if on is None:
        yield sentence("not here: the store's warmth is not known, or it is cold")
    elif can.sealed_on is None:
        yield sentence("expected to be ready on %(day)s", day=on)
    elif on <= today:
        yield sentence("ready since %(day)s", day=on)
    else:
        yield sentence("ready on %(day)s", day=on)
