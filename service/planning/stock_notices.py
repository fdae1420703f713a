"""What is said once about the cans: ready, to be filled, to be sealed, too few, none."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.agronomy.containers import CanState
from service.planning.allotting import Planned, eaters_of
from service.planning.board import Board, dose_cans
from service.planning.crop_notices import NOTICE_KEPT_DAYS
from service.planning.planner import Notice
from service.planning.season_facts import read_facts
from service.records.fields import DoseState


def no_can_notices(board: Board, own: Sequence[Planned]) -> list[Notice]:
    """Return, on the evening before a dose that no can is ready for, that nothing is poured."""
    found = []
    for planned in own:
        letter = planned.bundle.plot.letter
        for dose in planned.bundle.doses:
            eve = add_days(dose.due_on, -1)
            if (
                letter is None
                or dose.state is not DoseState.PLANNED
                or days_between(board.today, eve) not in (0, 1)
                or dose_cans(board, planned, dose)
            ):
                continue
            ready_on = _next_ready(board, planned, after=dose.due_on)
            found.append(
                Notice(
                    kind="no_can",
                    key=f"no_can:{dose.id}:{dose.due_on}",
                    first_on=eve,
                    last_on=eve,
                    fields={
                        "plot": letter,
                        "code": f"{letter}{dose.number}",
                        "day": dose.due_on.isoformat(),
                        "ready": None if ready_on is None else ready_on.isoformat(),
                    },
                )
            )
    return found


def _next_ready(board: Board, planned: Planned, *, after: date) -> date | None:
    cans = board.cans_of(planned.bundle.household.id)
    days = (can.ready_for(eaters_of(planned.bundle)) for can in cans)
    return min((day for day in days if day is not None and day > after), default=None)


def ready_notices(board: Board, ids: Iterable[int], own: Sequence[Planned]) -> list[Notice]:
    """Return which cans have rested, each once a sealing, and for which plots."""
    letters: dict[int, list[str]] = defaultdict(list)
    youngest = sorted(own, key=lambda item: read_facts(item.bundle).planted_on, reverse=True)
    for planned in youngest:
        if planned.bundle.plot.letter is not None:
            letters[planned.bundle.household.id].append(planned.bundle.plot.letter)
    return [
        Notice(
            kind="ready",
            key=f"ready:{can.container_id}:{can.sealed_on}",
            first_on=can.ready_on,
            last_on=add_days(can.ready_on, NOTICE_KEPT_DAYS - 1),
            fields={
                "n": can.number,
                "wait": days_between(can.sealed_on, can.ready_on),
                "order": list(letters[household_id]),
            },
        )
        for household_id in sorted(ids)
        if letters[household_id]
        for can in board.cans_of(household_id)
        if can.sealed_on is not None
        and can.ready_on is not None
        and can.state in (CanState.RESTING, CanState.READY, CanState.IN_USE)
    ]
