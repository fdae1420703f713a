"""What must hold between the rows of a folder: keys stand once, and what is named exists."""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

from service.intake.entries import (
    ConsentEntry,
    ContainerEntry,
    HouseholdEntry,
    PhoneEntry,
    PlantingEntry,
    PlotEntry,
)
from service.intake.faults import Faults
from service.intake.sheets import Sheet

NO_HOUSEHOLD = "No such household in households.csv; add or correct it."

KEYS: dict[str, tuple[str, ...]] = {
    "areas.csv": ("code",),
    "households.csv": ("code",),
    "plots.csv": ("household", "code"),
    "plantings.csv": ("household", "plot", "code"),
    "containers.csv": ("household", "number"),
}


@dataclass(frozen=True, slots=True)
class Known:
    """Keys that stand in a file, those of faulty rows too; None where the file was not whole."""

    keys: frozenset[tuple[str, ...]] | None

    def lacks(self, *key: str) -> bool:
        """Say whether the key is certainly not in the file."""
        return self.keys is not None and key not in self.keys


def check_keys_once(sheet: Sheet, faults: Faults) -> Known:
    """Return the keys of a sheet; a key that stands twice is a fault of the later row."""
    columns = KEYS[sheet.file]
    first: dict[tuple[str, ...], int] = {}
    for row in sheet.rows:
        key = tuple(row.cells[column] for column in columns)
        if "" in key:
            continue
        if key in first:
            faults.add(
                sheet.file,
                row.number,
                columns[-1],
                f"Row {first[key]} has the same {' and '.join(columns)}; keep one of them.",
            )
        first.setdefault(key, row.number)
    return Known(frozenset(first) if sheet.whole else None)


def check_areas_exist(households: Iterable[HouseholdEntry], areas: Known, faults: Faults) -> None:
    """Note each household whose area is not in areas.csv."""
    for entry in households:
        if areas.lacks(entry.area):
            faults.add(
                "households.csv", entry.row, "area", "No such area in areas.csv; add or correct it."
            )


def check_households_exist(
    file: str,
    entries: Iterable[PlotEntry | ContainerEntry],
    households: Known,
    faults: Faults,
) -> None:
    """Note each row whose household is not in households.csv."""
    for entry in entries:
        if households.lacks(entry.household):
            faults.add(file, entry.row, "household", NO_HOUSEHOLD)


def check_plots_exist(
    plantings: Iterable[PlantingEntry], households: Known, plots: Known, faults: Faults
) -> None:
    """Note each planting whose household is not in households.csv, or its plot not in plots.csv."""
    for entry in plantings:
        if households.lacks(entry.household):
            faults.add("plantings.csv", entry.row, "household", NO_HOUSEHOLD)
        elif plots.lacks(entry.household, entry.plot):
            faults.add(
                "plantings.csv",
                entry.row,
                "plot",
                "This household has no such plot in plots.csv; add or correct it.",
            )


def check_phones(phones: Iterable[PhoneEntry], households: Known, faults: Faults) -> None:
    """Note each number that stands twice, and each household served that does not exist."""
    first: dict[str, int] = {}
    for entry in phones:
        if entry.number in first:
            faults.add(
                "phones.csv",
                entry.row,
                "number",
                f"Row {first[entry.number]} has the same number; put all households in one row.",
            )
        first.setdefault(entry.number, entry.row)
        if any(households.lacks(code) for code in entry.households):
            faults.add("phones.csv", entry.row, "households", NO_HOUSEHOLD)


def check_consents(
    consents: Iterable[ConsentEntry], phones: Iterable[PhoneEntry] | None, faults: Faults
) -> None:
    """Note each consent for a number or a household that has no such phone, or told twice.

    `phones` is None where phones.csv was not read in full.
    """
    served = None if phones is None else {entry.number: entry.households for entry in phones}
    first: dict[Hashable, int] = {}
    for entry in consents:
        key = (entry.number, entry.household, entry.asked_on)
        if key in first:
            faults.add(
                "consents.csv", entry.row, "asked_on", f"Row {first[key]} says the same; keep one."
            )
        first.setdefault(key, entry.row)
        if served is None:
            continue
        if entry.number not in served:
            faults.add(
                "consents.csv", entry.row, "number", "This number is not in phones.csv; add it."
            )
        elif entry.household is not None and entry.household not in served[entry.number]:
            faults.add(
                "consents.csv",
                entry.row,
                "household",
                "The phone does not serve this household in phones.csv; correct one of them.",
            )
