"""Where the containers of homes stand today."""

from collections.abc import Collection
from datetime import date

from service.planning.stock import Can, Store, stores
from service.records.containers import containers
from service.records.dose_uses import dose_uses
from service.records.engine import Session
from service.records.locality_book import locality_book


def stores_now(
    session: Session,
    association_id: int,
    *,
    today: date,
    households: Collection[int] | None = None,
) -> dict[int, Store]:
    """Return what these households, or all, have in store, by household."""
    return stores(
        containers(session, association_id, households=households),
        dose_uses(session, association_id, households=households),
        book=locality_book(session, association_id),
        today=today,
    )


def cans_by_household(
    session: Session,
    association_id: int,
    *,
    today: date,
    households: Collection[int] | None = None,
) -> dict[int, tuple[Can, ...]]:
    """Return the containers of these households, or of all, by household and number."""
    found = stores_now(session, association_id, today=today, households=households)
    return {household_id: store.cans for household_id, store in found.items()}
