"""All that must hold between the files of a folder."""

from collections.abc import Mapping

from service.intake.clashes import (
    check_one_planting_at_a_time,
    clashes,
    label_marks,
    letter_marks,
    note_clashes,
    number_marks,
)
from service.intake.entries import Folder
from service.intake.faults import Faults
from service.intake.plans import check_plans
from service.intake.references import (
    KEYS,
    check_areas_exist,
    check_consents,
    check_households_exist,
    check_keys_once,
    check_phones,
    check_plots_exist,
)
from service.intake.sheets import Sheet


def check_between(sheets: Mapping[str, Sheet], folder: Folder, faults: Faults) -> None:
    """Note what does not fit together.

    A row that is faulty in itself still counts as standing in its file, and a file that could not
    be read in full lacks nothing: neither brings a second fault elsewhere.
    """
    _check_one_association(sheets["association.csv"], faults)
    known = {file: check_keys_once(sheets[file], faults) for file in KEYS}
    homes = known["households.csv"]
    check_areas_exist(folder.households, known["areas.csv"], faults)
    check_phones(folder.phones, homes, faults)
    every_phone = len(folder.phones) == len(sheets["phones.csv"].rows)
    whole = every_phone and sheets["phones.csv"].whole
    check_consents(folder.consents, folder.phones if whole else None, faults)
    check_households_exist("plots.csv", folder.plots, homes, faults)
    check_households_exist("containers.csv", folder.containers, homes, faults)
    check_plots_exist(folder.plantings, homes, known["plots.csv"], faults)
    sharing = [phone.households for phone in folder.phones]
    for file, column, marks in (
        ("plots.csv", "letter", letter_marks(folder.plots)),
        ("containers.csv", "number", number_marks(folder.containers)),
        ("households.csv", "label", label_marks(folder.households)),
    ):
        note_clashes(file, column, clashes(marks, sharing), faults)
    check_one_planting_at_a_time(folder.plantings, faults)
    check_plans(folder.plantings, folder.plots, faults)


def _check_one_association(sheet: Sheet, faults: Faults) -> None:
    if sheet.whole and not sheet.rows:
        faults.add(sheet.file, 2, "", "The row of the association is missing; fill it in.")
    for row in sheet.rows[1:]:
        faults.add(sheet.file, row.number, "", "One folder holds one association; remove this row.")
