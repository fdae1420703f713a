"""What holds for an area or for all: checked, written down, and planned anew with.

All belongs to the caller's transaction. An id of another association raises NoResultFound.
"""

from service.agronomy.watering import SeasonSpan
from service.confirmations.outcomes import Desk
from service.enrolment.book import write_change
from service.enrolment.faults import Fault, FaultCode, Faults
from service.enrolment.local_plans import (
    area_faults,
    noted_by,
    with_every_household,
    with_new_plans,
)
from service.enrolment.locality_checks import hold_faults, span_faults
from service.enrolment.locality_entries import (
    HoldAdded,
    HoldEntry,
    Replanned,
    SpanEntry,
)
from service.enrolment.moves import written
from service.enrolment.ranges import range_fault
from service.records.enrolment import find_area, lock_association
from service.records.localities import AreaHoldRow, SeasonSpanRow
from service.records.locality_acts import (
    add_area_hold,
    add_season_span,
    set_store_c,
    withdraw_area_hold,
    withdraw_season_span,
)
from service.records.locality_book import locality_book
from service.records.locality_lists import (
    HOLD,
    area_hold_by_id,
    season_span_by_id,
)


def add_hold(desk: Desk, entry: HoldEntry) -> HoldAdded | Faults:
    """Let no dose fall on these days, and plan anew what they touch."""
    faults = (*area_faults(desk, entry.area_id), *hold_faults(entry, today=desk.today))
    if faults:
        return Faults(faults=faults)
    lock_association(desk.session, desk.association_id)
    overlaps = _overlaps(desk, entry)
    row, replanned = with_new_plans(
        desk,
        entry.area_id,
        lambda: add_area_hold(
            desk.session,
            desk.association_id,
            area_id=entry.area_id,
            first_on=entry.first_on,
            last_on=entry.last_on,
            noted=noted_by(desk),
        ),
    )
    more = {"moved": [written(moved) for moved in replanned.moved]}
    write_change(desk, "entered", HOLD, row.id, before=None, after=_days(row), more=more)
    return HoldAdded(hold_id=row.id, overlaps=overlaps, replanned=replanned)


def withdraw_hold(desk: Desk, hold_id: int) -> Replanned | None:
    """Let a hold no longer stand; None, and nothing done, where it was withdrawn before."""
    lock_association(desk.session, desk.association_id)
    row = area_hold_by_id(desk.session, desk.association_id, hold_id)
    if row.withdrawn_at is not None:
        return None
    _, replanned = with_new_plans(
        desk,
        row.area_id,
        lambda: withdraw_area_hold(
            desk.session, desk.association_id, hold_id, noted=noted_by(desk)
        ),
    )
    more = {"moved": [written(moved) for moved in replanned.moved]}
    write_change(desk, "withdrawn", HOLD, row.id, before=_days(row), after=None, more=more)
    return replanned


def add_season(desk: Desk, entry: SpanEntry) -> Replanned | Faults:
    """Let these days be of the rains or of the dry season; the last entered stands."""
    faults = (*area_faults(desk, entry.area_id), *span_faults(entry, today=desk.today))
    if faults:
        return Faults(faults=faults)
    lock_association(desk.session, desk.association_id)
    span = SeasonSpan(season=entry.season, first_on=entry.first_on, last_on=entry.last_on)
    row, replanned = with_new_plans(
        desk,
        entry.area_id,
        lambda: add_season_span(
            desk.session,
            desk.association_id,
            area_id=entry.area_id,
            span=span,
            noted=noted_by(desk),
        ),
    )
    write_change(desk, "entered", "season-span", row.id, before=None, after=_season(row))
    return replanned


def withdraw_season(desk: Desk, span_id: int) -> Replanned | None:
    """Let a season no longer stand; None, and nothing done, where it was withdrawn before."""
    lock_association(desk.session, desk.association_id)
    row = season_span_by_id(desk.session, desk.association_id, span_id)
    if row.withdrawn_at is not None:
        return None
    _, replanned = with_new_plans(
        desk,
        row.area_id,
        lambda: withdraw_season_span(
            desk.session, desk.association_id, span_id, noted=noted_by(desk)
        ),
    )
    write_change(desk, "withdrawn", "season-span", row.id, before=_season(row), after=None)
    return replanned


def set_store(desk: Desk, area_id: int, celsius: float | None) -> Replanned | Faults:
    """Give an area's stores their mean temperature in degrees Celsius; None for the common one."""
    area = find_area(desk.session, desk.association_id, area_id)
    fault = range_fault("store_c", celsius)
    if area is None or fault is not None:
        return Faults(faults=(fault or Fault(field="area_id", code=FaultCode.NO_SUCH_AREA),))
    lock_association(desk.session, desk.association_id)
    before = area.store_c
    if before == celsius:
        return Replanned(households=0)
    _, replanned = with_every_household(
        desk,
        area_id,
        lambda: set_store_c(desk.session, desk.association_id, area_id, celsius=celsius),
    )
    write_change(
        desk,
        "changed",
        "area",
        area_id,
        before={"store_c": before},
        after={"store_c": celsius},
    )
    return replanned


def _overlaps(desk: Desk, entry: HoldEntry) -> tuple[HoldEntry, ...]:
    return tuple(
        HoldEntry(area_id=hold.area_id, first_on=hold.first_on, last_on=hold.last_on)
        for hold in locality_book(desk.session, desk.association_id).holds
        if (entry.area_id is None or hold.area_id in (None, entry.area_id))
        and hold.first_on <= entry.last_on
        and hold.last_on >= entry.first_on
    )


def _days(row: AreaHoldRow | SeasonSpanRow) -> dict[str, object]:
    return {
        "area_id": row.area_id,
        "first_on": row.first_on.isoformat(),
        "last_on": row.last_on.isoformat(),
    }


def _season(row: SeasonSpanRow) -> dict[str, object]:
    return {**_days(row), "season": row.season.value}
