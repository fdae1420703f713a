"""Texts for doses that were told and are no longer right: at once, beyond the day's limits.

What a grower's own text has moved was answered with the new day, and is not said again.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from service.agronomy.calendar import add_days, days_between
from service.agronomy.dose_days import DropReason, MoveReason
from service.agronomy.rules import rules
from service.outbox.lookups import NOTHING_TOLD
from service.planning.allotting import Planned
from service.planning.board import Board
from service.planning.planner import PlannedText
from service.planning.send_window import daytime, is_quiet, local_day
from service.records.fields import OWN_WORD, DoseRow, DoseState, Source
from service.records.tasks import Task
from service.records.traffic import TaskKind

CORRECTION_KINDS = ("rain_hold", "withdrawn")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrong:
    """A dose told for a day on which it is not to be given any more."""

    planned: Planned
    dose: DoseRow
    told_on: date
    by_hold: bool

    @property
    def code(self) -> str:
        """The dose's reply code."""
        return f"{self.planned.bundle.plot.letter}{self.dose.number}"

    @property
    def key(self) -> str:
        """What makes this correction one of its kind."""
        return f"{self.dose.id}.{self.told_on}"


def wrong_doses(board: Board, own: Sequence[Planned], zone: ZoneInfo) -> list[Wrong]:
    """Return the doses whose text is no longer right, while it could still be followed."""
    found = []
    for planned in own:
        if planned.bundle.plot.letter is None:
            continue
        for dose in planned.bundle.doses:
            days = board.told.get(dose.id, NOTHING_TOLD).days
            if not days:
                continue
            told_on = max(days)
            if (
                days_between(told_on, board.today) <= rules().window_days
                and _is_off(dose, told_on)
                and not _told_by_the_grower(planned, told_on, zone)
            ):
                held = _is_held(planned, dose)
                found.append(Wrong(planned=planned, dose=dose, told_on=told_on, by_hold=held))
    return found


def corrections(
    phone_id: int, wrong: Sequence[Wrong], *, said: Collection[str], now: datetime, zone: ZoneInfo
) -> list[PlannedText]:
    """Return the texts that put doses right: one for all that rain holds, one for each other."""
    day = local_day(daytime(now, zone).opens_at, zone)
    told = _told_already(said)
    held = [item for item in wrong if item.by_hold and item.key not in told]
    texts = []
    if held:
        texts.append(
            PlannedText(
                kind="rain_hold",
                key=f"rain_hold:{phone_id}:{','.join(item.key for item in held)}",
                evening=day,
                fields={"codes": [item.code for item in held]},
            )
        )
    texts += [
        PlannedText(
            kind="withdrawn",
            key=f"withdrawn:{phone_id}:{item.key}",
            evening=day,
            fields={"code": item.code, "plot": item.planned.bundle.plot.letter},
        )
        for item in wrong
        if not item.by_hold and item.key not in told
    ]
    return texts


def _told_already(said: Collection[str]) -> set[str]:
    kept = (key.split(":", 2) for key in said if key.startswith(CORRECTION_KINDS))
    return {item for parts in kept for item in parts[-1].split(",")}


def night_tasks(wrong: Sequence[Wrong], *, now: datetime, zone: ZoneInfo) -> list[Task]:
    """Return a call for each dose put right at night, when no text may leave."""
    if not is_quiet(now, zone):
        return []
    return [
        Task(
            kind=TaskKind.HELD,
            key=item.key,
            household_id=item.planned.bundle.household.id,
            dose_id=item.dose.id,
            planting_id=item.planned.bundle.planting.id,
        )
        for item in wrong
    ]


def _is_off(dose: DoseRow, told_on: date) -> bool:
    match dose.state:
        case DoseState.PLANNED:
            return dose.due_on > told_on
        case DoseState.DROPPED:
            return True
        case _:
            return False


def _is_held(planned: Planned, dose: DoseRow) -> bool:
    if dose.state is DoseState.DROPPED:
        return dose.reason == DropReason.HOLD.value
    moved = {item.number: item.moved for item in planned.plan.doses}
    return MoveReason.HOLD in moved.get(dose.number, ())


def _told_by_the_grower(planned: Planned, told_on: date, zone: ZoneInfo) -> bool:
    """Say whether the newest news since the text was the grower's own."""
    bundle = planned.bundle
    since = add_days(told_on, -1)
    news = [(fact.recorded_at, fact.source) for fact in bundle.facts]
    news += [(hold.recorded_at, hold.source) for hold in bundle.holds]
    news += [
        (hold.recorded_at, Source.FORM) for hold in bundle.book.holds_in(bundle.household.area_id)
    ]
    fresh = [(at, source) for at, source in news if local_day(at, zone) >= since]
    return bool(fresh) and max(fresh)[1] in OWN_WORD
