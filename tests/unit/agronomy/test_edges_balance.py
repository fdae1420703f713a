"""A household's urine against its doses, for very small beds and for two plots at once."""

from datetime import date

from service.agronomy.allotment import Allotment, Ask
from service.agronomy.balance import Balance, Suggestion, household_balance
from service.agronomy.calendar import add_days
from service.agronomy.containers import DoseKey
from service.agronomy.regimes import Regime

PLANTED_ON = date(2027, 3, 15)
MAIZE, KALE = 1, 2


def balance_of(gets: dict[DoseKey, tuple[float, float]]) -> Balance:
    """Return the balance of doses by what each wants and gets, a week apart, 100 m2 a planting."""
    asks, allotments = [], {}
    for (planting, number), (wanted, got) in gets.items():
        day = add_days(PLANTED_ON, 7 * number)
        asks.append(
            Ask(
                dose=(planting, number),
                due_on=day,
                on=day,
                planted_on=PLANTED_ON,
                litres=wanted,
                regime=Regime.GENERAL,
            )
        )
        allotments[planting, number] = Allotment(litres=got, short_litres=wanted - got, draws=())
    return household_balance(asks, allotments, areas_m2={MAIZE: 100, KALE: 100})


def test_a_planting_that_wants_nothing_is_served_whole_and_no_more() -> None:
    assert balance_of({(MAIZE, 1): (0, 0)}).area_served_m2 == 100


def test_a_bed_that_wants_half_a_litre_and_gets_none_is_not_served() -> None:
    assert balance_of({(MAIZE, 1): (0.5, 0)}).area_served_m2 == 0


def test_a_last_dose_is_not_left_out_while_another_plot_lacks_its_first() -> None:
    found = balance_of(
        {(MAIZE, 1): (10, 10), (MAIZE, 2): (10, 0), (KALE, 1): (10, 5), (KALE, 2): (10, 10)}
    )

    assert Suggestion.DROP_LAST not in found.suggestions


def test_last_doses_are_left_out_where_two_plots_lack_nothing_else() -> None:
    found = balance_of(
        {(MAIZE, 1): (10, 10), (MAIZE, 2): (10, 0), (KALE, 1): (10, 10), (KALE, 2): (10, 5)}
    )

    assert Suggestion.DROP_LAST in found.suggestions
