"""Stores the areas, households, phones and consents of a folder."""

from collections.abc import Collection, Iterable, Mapping

from service.intake.entries import AreaEntry, ConsentEntry, Folder, HouseholdEntry, PhoneEntry
from service.intake.faults import Faults
from service.intake.ledger import Ledger, Touched
from service.intake.sheets import OPTIONAL
from service.records.intake import (
    add_all,
    find_areas,
    find_consents,
    find_households,
    find_links,
    find_phones,
)
from service.records.people import (
    AreaRow,
    Consent,
    ConsentEventRow,
    HouseholdPhoneRow,
    HouseholdRow,
    PhoneRow,
)

PLANNED_BY = frozenset({"area", "eats", "adults", "children", "avoid_weekday", "collected_share"})
"""The columns of a household that its plans follow from."""

OTHER_WORDS = (
    "The yes of that day is recorded with other words or by another person; put them back, or "
    "give the day on which it was asked again."
)


def store_areas(ledger: Ledger, entries: Iterable[AreaEntry], touched: Touched) -> dict[str, int]:
    """Store the areas and return the ids of all by code.

    What a file has no column for stays as it stands.
    """
    standing = find_areas(ledger.session, ledger.association_id)
    new = []
    for entry in entries:
        row = standing.get(entry.code)
        if row is not None:
            values: dict[str, object] = {"name": entry.name, "store_c": entry.store_c}
            if "store_c" in ledger.settle("area", row, _told("areas.csv", values, entry.told)):
                touched.areas.add(row.id)
            continue
        new.append(
            AreaRow(
                association_id=ledger.association_id,
                code=entry.code,
                name=entry.name,
                store_c=entry.store_c,
            )
        )
        ledger.count_added()
    add_all(ledger.session, new)
    return {code: row.id for code, row in standing.items()} | {row.code: row.id for row in new}


def _told(file: str, values: dict[str, object], told: Collection[str]) -> dict[str, object]:
    lacking = set(OPTIONAL[file]) - set(told)
    return {name: value for name, value in values.items() if name not in lacking}


def store_households(
    ledger: Ledger,
    entries: Iterable[HouseholdEntry],
    areas: Mapping[str, int],
    touched: Touched,
) -> dict[str, int]:
    """Store the households and return the ids of all by code."""
    standing = find_households(ledger.session, ledger.association_id)
    new = []
    for entry in entries:
        values: dict[str, object] = {
            "area_id": areas[entry.area],
            "alias": entry.alias,
            "label": entry.label,
            "adults": entry.adults,
            "children": entry.children,
            "regime": entry.regime,
            "language": entry.language,
            "word": entry.word,
            "discreet": entry.discreet,
            "remind_minute": entry.remind_minute,
            "needs_call": entry.needs_call,
            "cup_ml": entry.cup_ml,
            "avoid_weekday": entry.avoid_weekday,
            "collected_share": entry.collected_share,
            "bottle_ml": entry.bottle_ml,
        }
        row = standing.get(entry.code)
        if row is not None:
            if PLANNED_BY & ledger.settle(
                "household", row, _told("households.csv", values, entry.told)
            ):
                touched.households.add(row.id)
            continue
        new.append(
            HouseholdRow(
                association_id=ledger.association_id,
                code=entry.code,
                recorded_at=ledger.now,
                **values,
            )
        )
        ledger.count_added()
    add_all(ledger.session, new)
    return {code: row.id for code, row in standing.items()} | {row.code: row.id for row in new}


def store_phones(
    ledger: Ledger, entries: tuple[PhoneEntry, ...], households: Mapping[str, int]
) -> dict[str, int]:
    """Store the phones and whom they serve; return the ids of all by number."""
    standing = find_phones(ledger.session, ledger.association_id)
    linked = find_links(ledger.session, ledger.association_id)
    new = {
        entry.number: PhoneRow(
            association_id=ledger.association_id,
            number=entry.number,
            typed=entry.typed,
            language=entry.language,
            muted_until=None,
            recorded_at=ledger.now,
        )
        for entry in entries
        if entry.number not in standing
    }
    add_all(ledger.session, list(new.values()))
    links = []
    for entry in entries:
        row = new.get(entry.number) or standing[entry.number]
        served = [households[code] for code in entry.households]
        missing = [home for home in served if (row.id, home) not in linked]
        links += [
            HouseholdPhoneRow(
                association_id=ledger.association_id, household_id=home, phone_id=row.id
            )
            for home in missing
        ]
        if entry.number in new:
            ledger.count_added()
            continue
        values = {"typed": entry.typed, "language": entry.language}
        ledger.settle("phone", row, values, news=["households"] if missing else [])
    add_all(ledger.session, links)
    return {number: row.id for number, row in (standing | new).items()}


def store_consents(
    ledger: Ledger,
    folder: Folder,
    *,
    phones: Mapping[str, int],
    households: Mapping[str, int],
    faults: Faults,
) -> None:
    """Append each spoken yes not recorded yet, one for each household that was meant.

    `phones` holds ids by number, `households` by code. One event a household: one that joins the
    phone later has not been asked. An event that stands with other words is noted in `faults`,
    since what was said is never rewritten.
    """
    standing = find_consents(ledger.session, ledger.association_id)
    served = {phone.number: phone.households for phone in folder.phones}
    new: list[ConsentEventRow] = []
    for entry in folder.consents:
        count = len(new)
        for code in served[entry.number] if entry.household is None else (entry.household,):
            row = _consent(ledger, entry, phone_id=phones[entry.number], home=households[code])
            recorded = standing.setdefault(row.key, row)
            if recorded is row:
                new.append(row)
            elif (recorded.asked_by, recorded.wording) != (row.asked_by, row.wording):
                faults.add("consents.csv", entry.row, "wording", OTHER_WORDS)
        if len(new) > count:
            ledger.added += 1
        else:
            ledger.unchanged += 1
    add_all(ledger.session, new)


def _consent(ledger: Ledger, entry: ConsentEntry, *, phone_id: int, home: int) -> ConsentEventRow:
    return ConsentEventRow(
        association_id=ledger.association_id,
        phone_id=phone_id,
        household_id=home,
        kind=Consent.VERBAL,
        on=entry.asked_on,
        asked_by=entry.asked_by,
        wording=entry.wording,
        key=f"verbal:{phone_id}:{home}:{entry.asked_on.isoformat()}",
        recorded_at=ledger.now,
    )
