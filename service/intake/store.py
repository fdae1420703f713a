"""A checked folder into the records: new rows are added, changed cells change, nothing goes."""

from dataclasses import dataclass
from datetime import datetime

from service.intake.entries import AssociationEntry, Folder
from service.intake.faults import Faults
from service.intake.ledger import Ledger, Touched
from service.intake.standing import check_standing
from service.intake.store_fields import store_containers, store_plantings, store_plots
from service.intake.store_people import store_areas, store_consents, store_households, store_phones
from service.records.engine import Session
from service.records.intake import (
    add,
    find_association,
    find_households,
    find_open_plantings,
)
from service.records.people import AssociationRow, ImportRunRow


@dataclass(frozen=True, slots=True, kw_only=True)
class IntakeResult:
    """What an import did, in rows of the files.

    `changed_plantings` are the ids of open plantings that need a new plan, lowest first.
    """

    association_id: int
    added: int
    changed: int
    unchanged: int
    changed_plantings: tuple[int, ...]


def store_folder(session: Session, folder: Folder, *, now: datetime, who: str) -> IntakeResult:
    """Store a folder in the caller's transaction; the same folder twice changes nothing.

    Rows that the folder no longer has stay. Each changed row gets an audit row with the names of
    its columns, without values.

    Raises:
        IntakeError: the folder contradicts what stands; the caller must roll back.
    """
    faults = Faults()
    ledger, store_changed = _association(session, folder.associations[0], now=now, who=who)
    touched = Touched()
    areas = store_areas(ledger, folder.areas, touched)
    households = store_households(ledger, folder.households, areas, touched)
    touched.households |= {
        row.id
        for row in find_households(session, ledger.association_id).values()
        if row.area_id in touched.areas
    }
    phones = store_phones(ledger, folder.phones, households)
    store_consents(ledger, folder, phones=phones, households=households, faults=faults)
    plots = store_plots(ledger, folder.plots, households, touched)
    store_plantings(ledger, folder.plantings, plots, touched)
    store_containers(ledger, folder.containers, households, touched)
    check_standing(session, ledger.association_id, folder, faults)
    faults.refuse()
    if ledger.added or ledger.changed:
        add(
            session,
            ImportRunRow(
                association_id=ledger.association_id,
                at=now,
                added=ledger.added,
                changed=ledger.changed,
                unchanged=ledger.unchanged,
            ),
        )
    return IntakeResult(
        association_id=ledger.association_id,
        added=ledger.added,
        changed=ledger.changed,
        unchanged=ledger.unchanged,
        changed_plantings=tuple(
            place.planting_id
            for place in find_open_plantings(session, ledger.association_id)
            if store_changed
            or place.planting_id in touched.plantings
            or place.plot_id in touched.plots
            or place.household_id in touched.households
        ),
    )


def _association(
    session: Session, entry: AssociationEntry, *, now: datetime, who: str
) -> tuple[Ledger, bool]:
    values = {
        "name": entry.name,
        "zone": entry.zone,
        "country": entry.country,
        "language": entry.language,
        "phone": entry.phone,
        "cost": entry.cost,
        "store_c": entry.store_c,
    }
    row = find_association(session, entry.code)
    if row is None:
        row = AssociationRow(code=entry.code, recorded_at=now, **values)
        add(session, row)
        ledger = Ledger(session=session, association_id=row.id, now=now, who=who)
        ledger.count_added()
        return ledger, False
    ledger = Ledger(session=session, association_id=row.id, now=now, who=who)
    return ledger, "store_c" in ledger.settle("association", row, values)
