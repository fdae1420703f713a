"""What the tests of cans set up."""

from service.records.people import AssociationRow
from tests.world import World


def store_is(world: World, celsius: float | None) -> None:
    """Record the store's mean temperature; None: nobody knows it."""
    with world.services.sessions.begin() as session:
        session.get_one(AssociationRow, 1).store_c = celsius
