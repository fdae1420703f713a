"""Whether a folder, once stored, fits what stood in the records before it."""

from collections import defaultdict

from service.intake.clashes import Mark, clashes, note_clashes
from service.intake.entries import Folder
from service.intake.faults import Faults
from service.records.engine import Session
from service.records.intake import (
    find_containers,
    find_households,
    find_links,
    find_open_plantings,
    find_plots,
)


def check_standing(session: Session, association_id: int, folder: Folder, faults: Faults) -> None:
    """Note what clashes with rows that the folder no longer has."""
    _check_marks(session, association_id, folder, faults)
    _check_open_plantings(session, association_id, folder, faults)


def _check_marks(session: Session, association_id: int, folder: Folder, faults: Faults) -> None:
    households = find_households(session, association_id)
    homes = {row.id: code for code, row in households.items()}
    shared: dict[int, list[str]] = defaultdict(list)
    for phone_id, household_id in sorted(find_links(session, association_id)):
        shared[phone_id].append(homes[household_id])
    plots = {(plot.household, plot.code): plot.row for plot in folder.plots}
    letters = [
        Mark(household=homes[home], sign=row.letter, row=plots.get((homes[home], code)))
        for (home, code), row in find_plots(session, association_id).items()
        if row.letter is not None
    ]
    cans = {(can.household, can.number): can.row for can in folder.containers}
    numbers = [
        Mark(household=homes[home], sign=number, row=cans.get((homes[home], number)))
        for home, number in find_containers(session, association_id)
    ]
    labelled = {home.code: home.row for home in folder.households}
    labels = [
        Mark(household=code, sign=row.label.casefold(), row=labelled.get(code))
        for code, row in households.items()
    ]
    for file, column, marks in (
        ("plots.csv", "letter", letters),
        ("containers.csv", "number", numbers),
        ("households.csv", "label", labels),
    ):
        note_clashes(file, column, clashes(marks, shared.values()), faults)


def _check_open_plantings(
    session: Session, association_id: int, folder: Folder, faults: Faults
) -> None:
    rows = {(entry.household, entry.plot, entry.code): entry.row for entry in folder.plantings}
    by_plot: dict[int, list[int]] = defaultdict(list)
    for place in find_open_plantings(session, association_id):
        key = (place.household_code, place.plot_code, place.planting_code)
        by_plot[place.plot_id].append(rows.get(key, 0))
    for numbers in by_plot.values():
        if len(numbers) > 1:
            faults.add(
                "plantings.csv",
                max(numbers),
                "plot",
                "Another planting on this plot is still open; enter its harvest first, or give "
                "this crop a plot with a letter and an area of its own.",
            )
