"""What is in each container after what happened to it and what was poured."""

from datetime import date

import pytest

from service.agronomy.containers import (
    CanEvent,
    CanEventKind,
    CanFacts,
    CanStanding,
    CanState,
    Draw,
    Use,
    stock_book,
)
from service.agronomy.regimes import Regime

TODAY = date(2027, 6, 1)
MARCH, APRIL, MAY = date(2027, 3, 1), date(2027, 4, 1), date(2027, 5, 1)
WARM_C = 26.0


def happened(kind: str, on: date) -> CanEvent:
    return CanEvent(kind=CanEventKind(kind), on=on)


def can(number: int, *events: CanEvent) -> CanFacts:
    return CanFacts(can=number, volume_litres=20, longer_rest=False, events=events)


def sealed_can(number: int, on: date) -> CanFacts:
    return can(number, happened("sealed", on))


def dose(number: int, on: date, litres: float, regime: Regime = Regime.GENERAL) -> Use:
    return Use(dose=(1, number), on=on, litres=litres, regime=regime)


def after(facts: CanFacts, *uses: Use) -> CanStanding:
    return stock_book([facts], uses, store_c=WARM_C).cans[0]


def state(standing: CanStanding, *, today: date = TODAY) -> CanState:
    return standing.state(Regime.GENERAL, store_c=WARM_C, today=today)


def test_a_can_without_a_story_is_empty() -> None:
    standing = after(can(1))

    assert (standing.litres, state(standing)) == (0, CanState.EMPTY)


def test_a_can_that_fills_counts_for_nothing_yet() -> None:
    standing = after(can(1, happened("opened", MARCH)))

    assert (standing.litres, standing.opened_on) == (0, MARCH)
    assert state(standing) is CanState.FILLING


def test_a_sealed_can_is_full_and_rests_a_month() -> None:
    """SSWM factsheet after Tilley et al.: at least one month, taken as 30 days."""
    standing = after(sealed_can(1, MAY))

    assert standing.litres == 20
    assert standing.ready_on(Regime.GENERAL, store_c=None) == date(2027, 5, 31)
    assert state(standing, today=date(2027, 5, 30)) is CanState.RESTING
    assert state(standing, today=date(2027, 5, 31)) is CanState.READY


def test_six_months_count_only_in_a_warm_store() -> None:
    """WHO 2006, vol. 4: six months at 20 degrees and above; 183 days from 1 March."""
    standing = after(sealed_can(1, MARCH))

    assert standing.ready_on(Regime.SOLD_ANY, store_c=20.0) == date(2027, 8, 31)
    assert standing.ready_on(Regime.SOLD_ANY, store_c=19.9) is None
    assert standing.ready_on(Regime.SOLD_ANY, store_c=None) is None


def test_a_can_never_sealed_has_no_ready_day() -> None:
    assert after(can(1)).ready_on(Regime.GENERAL, store_c=WARM_C) is None


def test_adding_to_a_resting_can_starts_its_rest_again() -> None:
    standing = after(can(1, happened("sealed", MARCH), happened("refilled", MAY)))

    assert (standing.sealed_on, standing.litres) == (MAY, 20)


def test_a_top_up_fills_what_was_poured() -> None:
    topped_up = can(1, happened("sealed", MARCH), happened("refilled", MAY))

    assert after(topped_up, dose(1, APRIL, litres=12)).litres == 20


def test_adding_to_a_can_that_is_not_sealed_seals_nothing() -> None:
    standing = after(can(1, happened("opened", MARCH), happened("refilled", APRIL)))

    assert state(standing) is CanState.FILLING


@pytest.mark.parametrize("kind", ["emptied", "leaked"])
def test_a_can_that_ran_out_holds_nothing(kind: str) -> None:
    standing = after(can(1, happened("sealed", MARCH), happened(kind, APRIL)))

    assert (standing.litres, state(standing)) == (0, CanState.EMPTY)


def test_a_leak_is_remembered_until_the_can_is_used_again() -> None:
    leak = happened("leaked", APRIL)

    assert after(can(1, leak)).leaked_on == APRIL
    assert after(can(1, leak, happened("opened", MAY))).leaked_on is None
    assert after(can(1, leak, happened("sealed", MAY))).leaked_on is None


def test_opening_a_sealed_can_to_fill_it_anew_empties_it() -> None:
    standing = after(can(1, happened("sealed", MARCH), happened("opened", MAY)))

    assert (standing.litres, state(standing)) == (0, CanState.FILLING)


def test_a_can_that_was_poured_from_is_in_use() -> None:
    standing = after(sealed_can(1, MARCH), dose(1, APRIL, litres=6), dose(2, MAY, litres=6.5))

    assert standing.litres == 20 - 6 - 6.5
    assert state(standing) is CanState.IN_USE


def test_a_can_with_less_than_the_smallest_measure_is_empty() -> None:
    assert after(sealed_can(1, MARCH), dose(1, APRIL, litres=19.9)).litres == pytest.approx(0.1)
    assert state(after(sealed_can(1, MARCH), dose(1, APRIL, litres=19.95))) is CanState.EMPTY


def test_what_is_poured_on_a_day_comes_before_what_happens_that_day() -> None:
    emptied = can(1, happened("sealed", MARCH), happened("emptied", APRIL))

    book = stock_book([emptied], [dose(1, APRIL, litres=5)], store_c=WARM_C)

    assert book.draws == {(1, 1): (Draw(can=1, litres=5),)}


def test_a_dose_poured_on_the_day_of_sealing_did_not_come_from_that_can() -> None:
    book = stock_book([sealed_can(1, APRIL)], [dose(1, APRIL, litres=5)], store_c=WARM_C)

    assert book.draws == {(1, 1): ()}
    assert book.cans[0].litres == 20


def test_the_can_that_was_ready_longest_is_poured_first() -> None:
    cans = [sealed_can(1, APRIL), sealed_can(2, MARCH)]

    book = stock_book(cans, [dose(1, TODAY, litres=26)], store_c=WARM_C)

    assert book.draws == {(1, 1): (Draw(can=2, litres=20), Draw(can=1, litres=6))}
    assert [standing.litres for standing in book.cans] == [14, 0]


def test_who_eats_the_crop_decides_which_can_was_ready_longest() -> None:
    """Can 2 waits six months for whomever; can 1 waits a month, or six for a crop that is sold."""
    flagged = CanFacts(
        can=2, volume_litres=20, longer_rest=True, events=(happened("sealed", MARCH),)
    )
    september = date(2027, 9, 5)
    uses = [dose(1, september, litres=5), dose(2, september, litres=5, regime=Regime.SOLD_ANY)]

    book = stock_book([flagged, sealed_can(1, MAY)], uses, store_c=WARM_C)

    assert book.draws == {
        (1, 1): (Draw(can=1, litres=5),),
        (1, 2): (Draw(can=2, litres=5),),
    }


def test_what_ready_cans_could_not_hold_came_from_one_still_resting() -> None:
    cans = [sealed_can(1, date(2027, 5, 25)), sealed_can(2, MARCH)]

    book = stock_book(cans, [dose(1, TODAY, litres=23)], store_c=WARM_C)

    assert book.draws == {(1, 1): (Draw(can=2, litres=20), Draw(can=1, litres=3))}


def test_what_no_can_could_hold_is_drawn_from_none() -> None:
    book = stock_book([sealed_can(1, MARCH)], [dose(1, APRIL, litres=50)], store_c=WARM_C)

    assert book.draws == {(1, 1): (Draw(can=1, litres=20),)}


def test_a_dose_before_any_can_was_sealed_is_drawn_from_none() -> None:
    book = stock_book([sealed_can(1, APRIL)], [dose(1, MARCH, litres=5)], store_c=WARM_C)

    assert book.draws == {(1, 1): ()}


def test_cans_stand_in_the_order_given() -> None:
    book = stock_book([can(7), can(2), can(5)], [], store_c=None)

    assert [standing.facts.can for standing in book.cans] == [7, 2, 5]


def test_a_can_sealed_twice_serves_twice() -> None:
    twice = can(1, happened("sealed", MARCH), happened("sealed", MAY))

    book = stock_book(
        [twice],
        [dose(1, date(2027, 4, 5), litres=20), dose(2, date(2027, 6, 5), litres=20)],
        store_c=WARM_C,
    )

    assert [sum(draw.litres for draw in draws) for draws in book.draws.values()] == [20, 20]
