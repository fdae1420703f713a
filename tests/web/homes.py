"""Households that a page's tests need beside those that `enrol` makes."""

from service.agronomy.regimes import Regime
from service.records.people import AreaRow, HouseholdRow
from tests.world import World, an_association


def bare_home(world: World, *, code: str = "001", alias: str = "Mti Test", area_id: int = 1) -> int:
    """Add a household of which only its name and area are known; return its id."""
    an_association(world)
    with world.services.sessions.begin() as session:
        row = HouseholdRow(
            association_id=1,
            area_id=area_id,
            code=code,
            alias=alias,
            label=code,
            adults=0,
            children=0,
            regime=Regime.SOLD_ANY,
            language="en",
            word=None,
            discreet=False,
            remind_minute=18 * 60,
            needs_call=False,
            cup_ml=250,
            recorded_at=world.clock(),
        )
        session.add(row)
        session.flush()
        return row.id


def another_area(world: World, *, name: str, area_id: int = 2) -> int:
    """Add an area to association 1 and return its id."""
    an_association(world)
    with world.services.sessions.begin() as session:
        session.add(AreaRow(id=area_id, association_id=1, code=name[:1], name=name))
    return area_id
