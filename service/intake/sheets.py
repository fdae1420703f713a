"""CSV files as rows of cells: UTF-8, commas, the header named exactly, nothing guessed."""

import csv
import io
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from service.intake.faults import Faults
from service.records.limits import LIMITS

COLUMNS: dict[str, tuple[str, ...]] = {
    "association.csv": (
        "code", "name", "zone", "country", "language", "phone", "cost", "store_c",
    ),
    "areas.csv": ("code", "name"),
    "households.csv": (
        "code", "area", "alias", "label", "adults", "children", "eats", "language", "word",
        "discreet", "remind_at", "needs_call", "cup_ml",
    ),
    "phones.csv": ("number", "households", "language"),
    "consents.csv": ("number", "household", "asked_on", "asked_by", "wording"),
    "plots.csv": ("household", "code", "letter", "area_m2", "soil"),
    "plantings.csv": (
        "household", "plot", "code", "crop", "planted_on", "season", "water_ratio",
        "litres_per_m2", "season_days", "first_harvest_on", "transplanted", "emerged_on",
    ),
    "containers.csv": (
        "household", "number", "litres", "longer_rest", "opened_on", "sealed_on", "refilled_on",
        "emptied_on",
    ),
}  # fmt: skip
OPTIONAL: dict[str, tuple[str, ...]] = {
    "areas.csv": ("store_c",),
    "households.csv": ("avoid_weekday", "collected_share", "bottle_ml"),
    "plantings.csv": ("regime",),
    "containers.csv": ("leaked_on",),
}
"""Columns that a file may have beside those it must have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row that is not blank; `number` counts as a spreadsheet does, the header being 1.

    An optional column that the file lacks has a blank cell here and is not among `told`.
    """

    file: str
    number: int
    cells: dict[str, str]
    told: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The rows of one file; `whole` is False where some of it could not be read."""

    file: str
    rows: tuple[Row, ...]
    whole: bool


def read_sheet(folder: Path, file: str, faults: Faults) -> Sheet:
    """Return the rows of one file of the folder; what cannot be read is noted in `faults`."""
    before = len(faults.found)
    text = _text(folder / file, faults)
    rows = () if text is None else tuple(_rows(file, text, faults))
    return Sheet(file=file, rows=rows, whole=len(faults.found) == before)


def _text(path: Path, faults: Faults) -> str | None:
    try:
        if path.stat().st_size > LIMITS.bytes:
            faults.add(path.name, 0, "", "The file is too large; save the sheet alone, as CSV.")
            return None
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        faults.add(path.name, 0, "", "The file is missing; add it, with its header row at least.")
        return None
    except OSError:
        faults.add(path.name, 0, "", "The file cannot be opened; check that it may be read.")
        return None
    except UnicodeDecodeError:
        faults.add(path.name, 0, "", "The file is not UTF-8; save it as `CSV UTF-8`.")
        return None
    if "\0" in text:
        faults.add(path.name, 0, "", "The file is not text; save the sheet as `CSV UTF-8`.")
        return None
    return text


def _rows(file: str, text: str, faults: Faults) -> Iterator[Row]:
    lines = csv.reader(io.StringIO(text, newline=""), strict=True)
    number = 0
    try:
        header = [name.strip().casefold() for name in next(lines, [])]
        if not _header_stands(file, header, faults):
            return
        for number, cells in enumerate(lines, start=2):
            if number > LIMITS.rows + 1:
                faults.add(file, number, "", f"More than {LIMITS.rows} rows; import fewer at once.")
                return
            row = _row(file, number, dict(zip(header, cells, strict=False)))
            if not any(row.cells.values()):
                continue
            if len(cells) != len(header):
                faults.add(
                    file,
                    number,
                    "",
                    f"The row has {len(cells)} cells, the header {len(header)}; "
                    "put a cell that holds a comma between quotes.",
                )
                continue
            yield row
    except csv.Error:
        faults.add(
            file, number + 1, "", "A quote is not closed, or a cell is far too long; mend it."
        )


def _header_stands(file: str, header: list[str], faults: Faults) -> bool:
    wanted, known = COLUMNS[file], (*COLUMNS[file], *OPTIONAL.get(file, ()))
    before = len(faults.found)
    if len(header) == 1 and ";" in header[0]:
        faults.add(file, 1, "", "The columns are parted by semicolons; save the file with commas.")
        return False
    for name in wanted:
        if header.count(name) != 1:
            fault = "is missing; add it" if name not in header else "stands twice; keep one"
            faults.add(file, 1, name, f"The column {fault}.")
    for name in OPTIONAL.get(file, ()):
        if header.count(name) > 1:
            faults.add(file, 1, name, "The column stands twice; keep one.")
    for name in dict.fromkeys(header):
        if name not in known:
            # the name is not repeated: a file without a header has a person's name here
            place = header.index(name) + 1
            faults.add(
                file, 1, "", f"Column {place} is not known; use {', '.join(known)} and no other."
            )
    return len(faults.found) == before


def _row(file: str, number: int, cells: dict[str, str]) -> Row:
    clean = {name: unicodedata.normalize("NFC", cell).strip() for name, cell in cells.items()}
    optional = OPTIONAL.get(file, ())
    return Row(
        file=file,
        number=number,
        cells=dict.fromkeys(optional, "") | clean,
        told=frozenset(name for name in optional if name in clean),
    )
