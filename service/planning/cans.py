"""Where the containers of homes stand today."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date

from service.planning.stock import Can, can_standing
from service.records.containers import containers
from service.records.engine import Session
from service.records.people import AssociationRow


def cans_by_household(
    session: Session,
    row: AssociationRow,
    *,
    today: date,
    households: Collection[int] | None = None,
) -> dict[int, tuple[Can, ...]]:
    """Return the containers of these households, or of all, by household and number."""
    found: dict[int, list[Can]] = defaultdict(list)
    for bundle in containers(session, row.id, households=households):
        found[bundle.container.household_id].append(
            can_standing(bundle, store_c=row.store_c, today=today)
        )
    return {household_id: tuple(cans) for household_id, cans in found.items()}
