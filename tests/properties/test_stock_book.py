"""Laws of the stock book, over made-up cans, events and doses poured."""

from collections import defaultdict
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.agronomy.calendar import add_days, days_between
from service.agronomy.containers import (
    LEAST_LITRES,
    CanEvent,
    CanEventKind,
    CanFacts,
    StockBook,
    Use,
    stock_book,
)
from service.agronomy.regimes import Regime

FIRST_DAY = date(2027, 1, 1)
LAST_DAY = 250
LITRE_NOISE = 1e-6
FILLS = (CanEventKind.SEALED, CanEventKind.REFILLED)
REST_DAYS = {
    Regime.OWN_HOUSEHOLD: 14,
    Regime.GENERAL: 30,
    Regime.SOLD_PROCESSED: 30,
    Regime.SOLD_ANY: 183,
}

days = st.integers(0, LAST_DAY).map(lambda count: add_days(FIRST_DAY, count))
kinds = st.sampled_from([CanEventKind.SEALED, CanEventKind.SEALED, *CanEventKind])
stores_c = st.sampled_from([None, 15.0, 20.0, 26.0])


@st.composite
def cans_of_a_home(draw: st.DrawFn) -> list[CanFacts]:
    numbers = draw(st.lists(st.integers(1, 9), unique=True, max_size=4))
    return [draw(can(number)) for number in numbers]


@st.composite
def can(draw: st.DrawFn, number: int) -> CanFacts:
    event_days = sorted(draw(st.lists(days, max_size=5)))
    return CanFacts(
        can=number,
        volume_litres=draw(st.floats(1, 60)),
        longer_rest=draw(st.booleans()),
        events=tuple(CanEvent(kind=draw(kinds), on=on) for on in event_days),
    )


@st.composite
def uses_of_a_home(draw: st.DrawFn) -> list[Use]:
    doses = draw(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 7)), unique=True, max_size=8))
    return [
        Use(
            dose=dose,
            on=draw(days),
            litres=draw(st.floats(0, 40)),
            regime=draw(st.sampled_from([Regime.GENERAL, *Regime])),
        )
        for dose in doses
    ]


def poured(book: StockBook) -> dict[int, float]:
    """Return the litres drawn from each can."""
    litres: dict[int, float] = defaultdict(float)
    for draw in (draw for draws in book.draws.values() for draw in draws):
        litres[draw.can] += draw.litres
    return litres


def one_can(*events: CanEvent) -> CanFacts:
    return CanFacts(can=1, volume_litres=20, longer_rest=False, events=events)


@given(cans=cans_of_a_home(), uses=uses_of_a_home(), store_c=stores_c)
def test_a_can_holds_from_nothing_up_to_its_volume(
    cans: list[CanFacts], uses: list[Use], store_c: float | None
) -> None:
    book = stock_book(cans, uses, store_c=store_c)

    assert [standing.facts for standing in book.cans] == cans
    for standing in book.cans:
        full = standing.facts.volume_litres
        assert standing.litres == 0 or LEAST_LITRES <= standing.litres <= full
        assert (standing.litres > 0) == (standing.sealed_on is not None)
        assert None in (standing.sealed_on, standing.opened_on)


@given(cans=cans_of_a_home(), uses=uses_of_a_home(), store_c=stores_c)
def test_no_more_is_poured_than_was_ever_put_in_or_asked_for(
    cans: list[CanFacts], uses: list[Use], store_c: float | None
) -> None:
    book = stock_book(cans, uses, store_c=store_c)

    drawn = poured(book)
    for facts, standing in zip(cans, book.cans, strict=True):
        fills = sum(event.kind in FILLS for event in facts.events)
        assert drawn[facts.can] + standing.litres <= fills * facts.volume_litres + LITRE_NOISE
    for use in uses:
        got = sum(draw.litres for draw in book.draws[use.dose])
        assert got <= use.litres + LITRE_NOISE
        assert all(draw.litres > 0 and not draw.forecast for draw in book.draws[use.dose])


@given(facts=can(1), uses=uses_of_a_home(), later=st.integers(0, 30), store_c=stores_c)
def test_a_top_up_fills_the_can_and_starts_its_rest_again(
    facts: CanFacts, uses: list[Use], later: int, store_c: float | None
) -> None:
    before = stock_book([facts], uses, store_c=store_c).cans[0]
    on = add_days(FIRST_DAY, LAST_DAY + later)
    topped_up = CanEvent(kind=CanEventKind.REFILLED, on=on)

    after = stock_book(
        [replace(facts, events=(*facts.events, topped_up))], uses, store_c=store_c
    ).cans[0]

    if before.told_sealed_on is None:  # nobody has told of a sealing that still holds
        assert (after.sealed_on, after.litres) == (None, 0)
    else:
        assert (after.sealed_on, after.litres) == (on, facts.volume_litres)
        ready_on = after.ready_on(Regime.GENERAL, store_c=26.0)
        assert ready_on == add_days(on, 183 if facts.longer_rest else 30)


@given(facts=can(1), uses=uses_of_a_home(), store_c=stores_c)
@example(facts=one_can(), uses=[], store_c=None)
@example(facts=one_can(CanEvent(kind=CanEventKind.SEALED, on=FIRST_DAY)), uses=[], store_c=None)
def test_a_leak_leaves_the_can_empty(
    facts: CanFacts, uses: list[Use], store_c: float | None
) -> None:
    on = add_days(FIRST_DAY, LAST_DAY)
    leaked = CanEvent(kind=CanEventKind.LEAKED, on=on)

    after = stock_book([replace(facts, events=(*facts.events, leaked))], uses, store_c=store_c)

    standing = after.cans[0]
    assert (standing.litres, standing.sealed_on, standing.opened_on) == (0, None, None)
    assert standing.leaked_on == on


@given(
    cans=cans_of_a_home(),
    uses=uses_of_a_home(),
    event=st.tuples(st.integers(0, 3), kinds),
    store_c=stores_c,
)
def test_what_is_poured_on_a_day_comes_before_what_happens_to_a_can(
    cans: list[CanFacts], uses: list[Use], event: tuple[int, CanEventKind], store_c: float | None
) -> None:
    place, kind = event
    last_on = max((use.on for use in uses), default=FIRST_DAY)
    story = [
        replace(facts, events=tuple(event for event in facts.events if event.on < last_on))
        for facts in cans
    ]
    that_day = [
        replace(facts, events=(*facts.events, CanEvent(kind=kind, on=last_on)))
        if number == place
        else facts
        for number, facts in enumerate(story)
    ]

    without = stock_book(story, uses, store_c=store_c)
    together = stock_book(that_day, uses, store_c=store_c)

    assert together.draws == without.draws


@given(sealed=st.lists(days, min_size=2, max_size=4, unique=True), regime=st.sampled_from(Regime))
def test_the_can_that_was_ready_longest_is_poured_first(sealed: list[date], regime: Regime) -> None:
    cans = [
        CanFacts(
            can=number,
            volume_litres=10,
            longer_rest=False,
            events=(CanEvent(kind=CanEventKind.SEALED, on=on),),
        )
        for number, on in enumerate(sealed)
    ]
    on = add_days(FIRST_DAY, LAST_DAY + 183)
    litres = 10 * (len(sealed) - 1) + 5
    use = Use(dose=(1, 1), on=on, litres=litres, regime=regime)

    book = stock_book(cans, [use], store_c=26.0)

    assert [draw.can for draw in book.draws[1, 1]] == sorted(
        range(len(sealed)), key=lambda number: sealed[number]
    )
    assert [standing.litres for standing in book.cans if standing.litres] == [5]


@given(cans=cans_of_a_home(), use=uses_of_a_home().filter(len), store_c=stores_c)
def test_a_resting_can_is_poured_only_when_the_ready_ones_are_empty(
    cans: list[CanFacts], use: list[Use], store_c: float | None
) -> None:
    first = use[0]
    before = stock_book(
        [
            replace(facts, events=tuple(event for event in facts.events if event.on < first.on))
            for facts in cans
        ],
        [],
        store_c=store_c,
    )
    held = {standing.facts.can: standing for standing in before.cans if standing.sealed_on}
    ready = {
        number: standing.litres
        for number, standing in held.items()
        if _rested(standing.facts, standing.sealed_on, first, store_c)
    }

    draws = stock_book(cans, [first], store_c=store_c).draws[first.dose]

    from_ready = sum(draw.litres for draw in draws if draw.can in ready)
    assert from_ready == pytest.approx(min(first.litres, sum(ready.values())))
    assert sum(draw.litres for draw in draws) == pytest.approx(
        min(first.litres, sum(standing.litres for standing in held.values()))
    )


def _rested(facts: CanFacts, sealed_on: date | None, use: Use, store_c: float | None) -> bool:
    rest = 183 if facts.longer_rest else REST_DAYS[use.regime]
    proven = rest < 183 or (store_c is not None and store_c >= 20)
    return sealed_on is not None and proven and days_between(sealed_on, use.on) >= rest
