"""Local figures: put in the place of the tables', taken back, and planned anew with.

All belongs to the caller's transaction. An id of another association raises NoResultFound.
"""

from collections.abc import Sequence

from service.agronomy.local import LocalValue
from service.confirmations.outcomes import Desk
from service.enrolment.book import write_change
from service.enrolment.faults import Faults
from service.enrolment.local_defaults import table_figure
from service.enrolment.local_plans import area_faults, noted_by, with_new_plans
from service.enrolment.locality_checks import ceiling_fault, figure_of
from service.enrolment.locality_entries import FigureEntry, Replanned
from service.records.enrolment import lock_association
from service.records.localities import LocalValueRow
from service.records.locality_acts import add_local_value, withdraw_local_value
from service.records.locality_book import locality_book
from service.records.locality_lists import local_value_by_id, local_values, value_of


def add_figure(desk: Desk, entry: FigureEntry) -> Replanned | Faults:
    """Put a local figure in the place of the table's, and plan anew with it."""
    lock_association(desk.session, desk.association_id)
    standing = locality_book(desk.session, desk.association_id).values
    figure = figure_of(entry, standing)
    faults = area_faults(desk, entry.area_id)
    if isinstance(figure, tuple) or faults:
        return Faults(faults=(*faults, *(figure if isinstance(figure, tuple) else ())))
    row, replanned = with_new_plans(
        desk,
        figure.area_id,
        lambda: add_local_value(desk.session, desk.association_id, figure, noted=noted_by(desk)),
    )
    before = {"value": _before(figure, standing)}
    write_change(desk, "entered", "local-value", row.id, before=before, after=_figure(row))
    return replanned


def withdraw_figure(desk: Desk, value_id: int) -> Replanned | Faults | None:
    """Let the table's figure hold again, or the local one entered before.

    None, and nothing done, where it was withdrawn before; refused where the others alone would
    pass the ceiling.
    """
    lock_association(desk.session, desk.association_id)
    row = local_value_by_id(desk.session, desk.association_id, value_id)
    if row.withdrawn_at is not None:
        return None
    fault = ceiling_fault(
        [
            value_of(other)
            for other in local_values(desk.session, desk.association_id)
            if other.id != row.id
        ]
    )
    if fault is not None:
        return Faults(faults=(fault,))
    _, replanned = with_new_plans(
        desk,
        row.area_id,
        lambda: withdraw_local_value(
            desk.session, desk.association_id, value_id, noted=noted_by(desk)
        ),
    )
    write_change(desk, "withdrawn", "local-value", row.id, before=_figure(row), after=None)
    return replanned


def _figure(row: LocalValueRow) -> dict[str, object]:
    # the source is a person's own words, so it stays with the figure itself
    names = ("area_id", "crop", "soil", "key", "value")
    return {name: getattr(row, name) for name in names}


def _before(figure: LocalValue, standing: Sequence[LocalValue]) -> str | None:
    place = (figure.key, figure.area_id, figure.crop, figure.soil)
    same = [
        other.value
        for other in standing
        if (other.key, other.area_id, other.crop, other.soil) == place
    ]
    if same:
        return same[-1]
    table = table_figure(figure.key, figure.crop)
    return None if table is None else table.value
