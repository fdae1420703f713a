"""What is said once about a crop: is it up, its season opens, it may be harvested, it is over."""

from collections.abc import Collection, Sequence
from datetime import date

from service.agronomy.calendar import MONTH_DAYS, add_days, days_between
from service.agronomy.dosing import Season
from service.agronomy.season import water_on
from service.planning.allotting import Planned
from service.planning.board import Board, harvest_from, is_transplanted
from service.planning.planner import Notice
from service.planning.season_facts import read_facts, season_facts
from service.records.fields import DoseState

NOTICE_KEPT_DAYS = 7  # a notice that found no free evening by then says nothing new
OPENS_DAYS = 10  # before the first dose, project choice: time to get gloves and soap
JOINED_DAYS = 14  # after a planting is entered, project choice


def emergence_questions(own: Sequence[Planned]) -> list[Notice]:
    """Return the question whether plants are up, from the evening on which they should be."""
    return [
        Notice(
            kind="emerge_q",
            key=f"emerge_q:{emergence_key(planned)}",
            first_on=planned.plan.emergence_on,
            last_on=add_days(planned.plan.emergence_on, NOTICE_KEPT_DAYS - 1),
            fields={
                "plot": planned.bundle.plot.letter,
                "crop": planned.bundle.planting.crop,
                "planting_id": planned.bundle.planting.id,
            },
        )
        for planned in own
        if planned.plan.emergence_assumed
        and not is_transplanted(planned)
        and planned.bundle.plot.letter is not None
    ]


def emergence_key(planned: Planned) -> str:
    """Return what names one coming up of a planting: seed sown again is asked about again."""
    resown_on = read_facts(planned.bundle).resown_on
    planting_id = planned.bundle.planting.id
    return f"{planting_id}" if resown_on is None else f"{planting_id}:{resown_on}"


def crop_notices(board: Board, ids: Collection[int], own: Sequence[Planned]) -> list[Notice]:
    """Return what else is said of the crops, the most pressing first."""
    return [
        *_go_on(own),
        *_seasons_open(own),
        *_water_changes(board, own),
        *_harvests(board, own),
        *_results(board, ids),
    ]


def _seasons_open(own: Sequence[Planned]) -> list[Notice]:
    found = []
    for planned in own:
        letter = planned.bundle.plot.letter
        if letter is None or not planned.plan.doses:
            continue
        first_on = min(dose.due_on for dose in planned.plan.doses)
        joined_on = planned.bundle.planting.recorded_at.date()
        found.append(
            Notice(
                kind="season_opens",
                key=f"season_opens:{planned.bundle.planting.id}",
                first_on=add_days(first_on, -OPENS_DAYS),
                # it is for the evenings before the first dose, but for who joins late
                last_on=max(add_days(first_on, -2), add_days(joined_on, JOINED_DAYS)),
                fields={"plot": letter, "crop": planned.bundle.planting.crop},
            )
        )
    return found


def _go_on(own: Sequence[Planned]) -> list[Notice]:
    found = []
    for planned in own:
        letter, reports = planned.bundle.plot.letter, read_facts(planned.bundle)
        coming = [dose for dose in planned.bundle.doses if dose.state is DoseState.PLANNED]
        if letter is None or not reports.go_on or not coming:
            continue
        last = reports.go_on[-1]
        again = sum(go_on.on == last.on for go_on in reports.go_on)
        found.append(
            Notice(
                kind="burn_on",
                key=f"burn_on:{planned.bundle.planting.id}:{last.on}{f':{again}' * (again > 1)}",
                first_on=last.on,
                last_on=add_days(last.on, NOTICE_KEPT_DAYS - 1),
                fields={
                    "plot": letter,
                    "code": f"{letter}{coming[0].number}",
                    "day": coming[0].due_on.isoformat(),
                },
            )
        )
    return found


def _water_changes(board: Board, own: Sequence[Planned]) -> list[Notice]:
    """Return what to do with water from now on, one notice for all plots that it touches."""
    touched: dict[tuple[date, float], list[str]] = {}
    for planned in own:
        letter, facts = planned.bundle.plot.letter, season_facts(planned.bundle)
        if letter is None or not any(
            dose.given_on is None and dose.due_on >= board.today for dose in planned.plan.doses
        ):
            continue
        begun = [
            span.first_on
            for span in facts.spans
            if 0 <= days_between(span.first_on, board.today) < NOTICE_KEPT_DAYS
            and span.first_on > facts.planted_on
        ]
        for first_on in begun[-1:]:
            ratio = water_on(facts, board.today)
            if ratio != water_on(facts, add_days(first_on, -1)):
                touched.setdefault((first_on, ratio), []).append(letter)
    return [
        _water_notice(own[0].bundle.household.id, first_on, ratio, letters)
        for (first_on, ratio), letters in touched.items()
    ]


def _water_notice(
    household_id: int, first_on: date, ratio: float, letters: Sequence[str]
) -> Notice:
    kind = "to_water" if ratio > 0 else "to_neat"
    season = Season.DRY if ratio > 0 else Season.RAINS
    order = sorted(letters)
    return Notice(
        kind=kind,
        key=f"{kind}:{household_id}:{season.value}:{first_on}",
        first_on=first_on,
        last_on=add_days(first_on, NOTICE_KEPT_DAYS - 1),
        fields={"order": order, "ratio": ratio} if ratio > 0 else {"order": order},
    )


def _harvests(board: Board, own: Sequence[Planned]) -> list[Notice]:
    found = []
    for planned in own:
        letter = planned.bundle.plot.letter
        safe_on = harvest_from(planned, board.today)
        still_open = any(dose.state is DoseState.PLANNED for dose in planned.bundle.doses)
        if letter is None or safe_on is None or still_open:
            continue
        first_on = max(safe_on, planned.plan.first_harvest_on)
        last_dose_on = add_days(safe_on, -MONTH_DAYS)
        found.append(
            Notice(
                kind="harvest_ok",
                key=f"harvest_ok:{planned.bundle.planting.id}",
                first_on=first_on,
                last_on=add_days(first_on, NOTICE_KEPT_DAYS - 1),
                fields={
                    "plot": letter,
                    "crop": planned.bundle.planting.crop,
                    "wait": days_between(last_dose_on, first_on),
                },
            )
        )
    return found


def _results(board: Board, ids: Collection[int]) -> list[Notice]:
    found = []
    for bundle in board.ended:
        letter, reports = bundle.plot.letter, read_facts(bundle)
        on = reports.harvested_on
        if bundle.household.id not in ids or letter is None or on is None:
            continue
        done = [dose for dose in bundle.doses if dose.state is DoseState.DONE]
        kept = [dose for dose in bundle.doses if dose.state is not DoseState.DROPPED]
        found.append(
            Notice(
                kind="season_result",
                key=f"season_result:{bundle.planting.id}",
                first_on=on,
                last_on=add_days(on, NOTICE_KEPT_DAYS - 1),
                fields={
                    "plot": letter,
                    "crop": bundle.planting.crop,
                    "done": len(done),
                    "of": len(kept),
                    "litres": sum((dose.urine_l for dose in done), start=0.0),
                },
            )
        )
    return found
