"""What planning and the allotment of stock look at, to be asked for two associations."""

from collections.abc import Callable
from datetime import date

from service.records.bulk_looks import (
    container_looks,
    has_uses,
    household_spans,
    planting_looks,
)
from service.records.dose_uses import dose_uses
from service.records.engine import Session
from service.records.plantings import households_of_plantings, plantings_ended

SINCE = date(2027, 1, 1)

STOCK_LOOKS: dict[str, Callable[[Session, int], object]] = {
    "container_looks": lambda session, tenant: container_looks(session, tenant, [1]),
    "dose_uses": dose_uses,
    "has_uses": has_uses,
    "household_spans": lambda session, tenant: list(household_spans(session, tenant, size=9)),
    "households_of_plantings": lambda session, tenant: households_of_plantings(
        session, tenant, [1]
    ),
    "planting_looks": lambda session, tenant: planting_looks(session, tenant, (1, 9)),
    "plantings_ended": lambda session, tenant: plantings_ended(session, tenant, since=SINCE),
}
