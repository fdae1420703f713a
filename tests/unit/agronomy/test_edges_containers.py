"""Small pours, last drops and two cans on one day."""

from datetime import date

from service.agronomy.containers import (
    CanEvent,
    CanEventKind,
    CanFacts,
    CanState,
    Draw,
    Use,
    stock_book,
)
from service.agronomy.regimes import Regime

MARCH, MAY = date(2027, 3, 1), date(2027, 5, 1)


def a_can(number: int, *, volume_litres: float = 20) -> CanFacts:
    sealed = CanEvent(kind=CanEventKind.SEALED, on=MARCH)
    return CanFacts(can=number, volume_litres=volume_litres, longer_rest=False, events=(sealed,))


def a_dose(litres: float) -> Use:
    return Use(dose=(1, 2), on=MAY, litres=litres, regime=Regime.GENERAL)


def test_half_a_litre_poured_is_remembered() -> None:
    book = stock_book([a_can(1)], [a_dose(0.5)], store_c=None)

    assert book.draws == {(1, 2): (Draw(can=1, litres=0.5),)}
    assert book.cans[0].litres == 19.5


def test_a_can_with_just_the_smallest_measure_is_not_empty() -> None:
    """The smallest measure is 0.1 L (common practice, no source)."""
    book = stock_book([a_can(1, volume_litres=0.2)], [a_dose(0.1)], store_c=None)

    state = book.cans[0].state(Regime.GENERAL, store_c=None, today=MAY)
    assert (book.cans[0].litres, state) == (0.1, CanState.IN_USE)


def test_two_cans_sealed_on_one_day_stand_side_by_side() -> None:
    book = stock_book([a_can(7), a_can(3)], [], store_c=None)

    assert [(can.facts.can, can.sealed_on) for can in book.cans] == [(7, MARCH), (3, MARCH)]


def test_what_happened_to_a_can_on_one_day_happened_in_the_order_told() -> None:
    kinds = (CanEventKind.SEALED, CanEventKind.LEAKED, CanEventKind.OPENED, CanEventKind.SEALED)
    events = tuple(CanEvent(kind=kind, on=MARCH) for kind in kinds)
    told = CanFacts(can=1, volume_litres=20, longer_rest=False, events=events)

    can = stock_book([told], [], store_c=None).cans[0]

    assert (can.litres, can.sealed_on, can.leaked_on) == (20, MARCH, None)
