"""What holds for areas is appended, stays after its withdrawal, and is of one association alone."""

from collections.abc import Callable
from datetime import UTC, date, datetime

import pytest

from service.agronomy.dosing import Season
from service.agronomy.local import LocalKey, LocalValue
from service.agronomy.season import Soil
from service.agronomy.watering import SeasonSpan
from service.records.engine import Session
from service.records.localities import AreaHoldRow, LocalValueRow, SeasonSpanRow
from service.records.locality_acts import (
    Noted,
    add_area_hold,
    add_local_value,
    add_season_span,
    set_store_c,
    withdraw_area_hold,
    withdraw_local_value,
    withdraw_season_span,
)
from service.records.locality_book import LocalityBook, locality_book
from service.records.locality_lists import local_values, planted_households, value_of
from service.records.people import AreaRow
from tests.web.homes import another_area, bare_home
from tests.world import World, an_association, enrol
from tests.world_facts import other_association
from tests.world_looks import rows

AT = datetime(2027, 3, 1, 9, 0, tzinfo=UTC)
LATER = datetime(2027, 3, 2, 9, 0, tzinfo=UTC)
NEEMA = Noted(who="Neema Test", at=AT)
JUMA = Noted(who="Juma Test", at=LATER)
FIRST, LAST = date(2027, 4, 10), date(2027, 4, 12)
FIGURE = LocalValue(
    key=LocalKey.N_KG_PER_HA,
    value="60",
    source="a trial of ours",
    area_id=1,
    crop="maize-grain",
    soil=Soil.SALTY,
)


def entered(world: World) -> None:
    """Enter one of each for association 1, in its area 1."""
    an_association(world)
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))
        add_area_hold(session, 1, area_id=1, first_on=FIRST, last_on=LAST, noted=NEEMA)
        span = SeasonSpan(season=Season.DRY, first_on=FIRST, last_on=LAST)
        add_season_span(session, 1, area_id=1, span=span, noted=NEEMA)
        add_local_value(session, 1, FIGURE, noted=NEEMA)


def book_of(world: World, tenant: int = 1) -> LocalityBook:
    with world.services.sessions.read() as session:
        return locality_book(session, tenant)


def test_what_is_entered_stands_in_its_area(world: World) -> None:
    entered(world)

    book = book_of(world)

    assert [(row.first_on, row.last_on) for row in book.holds_in(1)] == [(FIRST, LAST)]
    assert book.holds_in(2) == ()
    assert [span.season for span in book.spans_in(1)] == [Season.DRY]
    assert book.values == (FIGURE,)
    assert [row.noted_by for row in rows(world, LocalValueRow)] == ["Neema Test"]
    assert book_of(world, 2).values == ()


def test_a_figure_is_read_back_as_it_was_entered(world: World) -> None:
    entered(world)

    with world.services.sessions.read() as session:
        assert [value_of(row) for row in local_values(session, 1)] == [FIGURE]


@pytest.mark.parametrize(
    ("table", "withdraw"),
    [
        pytest.param(AreaHoldRow, withdraw_area_hold, id="hold"),
        pytest.param(SeasonSpanRow, withdraw_season_span, id="season"),
        pytest.param(LocalValueRow, withdraw_local_value, id="figure"),
    ],
)
def test_a_withdrawal_leaves_the_row_and_who_did_it_first(
    world: World,
    table: type[AreaHoldRow | SeasonSpanRow | LocalValueRow],
    withdraw: Callable[..., None],
) -> None:
    entered(world)
    again = Noted(who="Asha Test", at=datetime(2027, 3, 3, 9, 0, tzinfo=UTC))
    for tenant, noted in ((2, NEEMA), (1, JUMA), (1, again)):
        with world.services.sessions.begin() as session:
            withdraw(session, tenant, 1, noted=noted)

    (row,) = rows(world, table)
    book = book_of(world)

    assert (row.withdrawn_by, row.withdrawn_at) == ("Juma Test", LATER)
    assert sum(1 for each in (book.holds, book.spans, book.values) if each) == 2


def test_a_store_temperature_is_that_of_its_area_alone(world: World) -> None:
    entered(world)
    another_area(world, name="South")

    def set_it(session: Session, tenant: int, celsius: float | None) -> None:
        set_store_c(session, tenant, 1, celsius=celsius)

    with world.services.sessions.begin() as session:
        set_it(session, 2, -5)
        set_it(session, 1, 17)

    assert [row.store_c for row in rows(world, AreaRow)] == [17, None]
    assert book_of(world).store_c == {1: 17, 2: 24}


def test_households_with_something_planted_are_found_by_their_area(world: World) -> None:
    planted = enrol(world)
    another_area(world, name="South")
    bare_home(world, code="002")
    with world.services.sessions.read() as session:
        found = [
            planted_households(session, tenant, area_id=area_id)
            for tenant, area_id in ((1, None), (1, 1), (1, 2), (2, None))
        ]

    assert found == [[planted.household_id], [planted.household_id], [], []]
