"""A folder of plain files as one checked value: all of it is right, or every fault is told."""

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from service.intake.between import check_between
from service.intake.cells import Cells
from service.intake.entries import Folder
from service.intake.faults import FILES, Faults
from service.intake.fields import read_container, read_planting, read_plot
from service.intake.people import PeopleReader, read_area
from service.intake.rules import Rules
from service.intake.sheets import Sheet, read_sheet

Entry = TypeVar("Entry")


def read_folder(folder: Path, rules: Rules) -> Folder:
    """Return what a folder of CSV files holds.

    Raises:
        IntakeError: holds every fault of every file.
    """
    faults = Faults()
    sheets = {file: read_sheet(folder, file, faults) for file in FILES}
    people = PeopleReader(rules=rules, region=_region(sheets["association.csv"], rules))

    def each(file: str, read: Callable[[Cells], Entry]) -> tuple[Entry, ...]:
        return _good(sheets[file], read, faults)

    found = Folder(
        associations=each("association.csv", people.association),
        areas=each("areas.csv", read_area),
        households=each("households.csv", people.household),
        phones=each("phones.csv", people.phone),
        consents=each("consents.csv", people.consent),
        plots=each("plots.csv", read_plot),
        plantings=each("plantings.csv", lambda cells: read_planting(cells, today=rules.today)),
        containers=each("containers.csv", lambda cells: read_container(cells, today=rules.today)),
    )
    check_between(sheets, found, faults)
    faults.refuse()
    return found


def _good(sheet: Sheet, read: Callable[[Cells], Entry], faults: Faults) -> tuple[Entry, ...]:
    good = []
    for row in sheet.rows:
        cells = Cells(row, faults)
        entry = read(cells)
        if not cells.broken:
            good.append(entry)
    return tuple(good)


def _region(sheet: Sheet, rules: Rules) -> str:
    # a wrong country has its own fault; numbers are then read as of the first country served
    named = [row.cells["country"].upper() for row in sheet.rows]
    return next(
        (code for code in named if code in rules.allowed_countries), rules.allowed_countries[0]
    )
