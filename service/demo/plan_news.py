"""What became known of a planting since its plan was last looked at. Pure."""

from enum import StrEnum

from service.demo.plan_notes import Note
from service.planning.allotting import Planned
from service.records.fields import FactKind, Flag, PlantingFactRow


class News(StrEnum):
    """What a plan may follow from, in the order in which one explains it rather than another."""

    RESOWN = "sown again"
    SOWN = "sown"
    UP = "plants up"
    BURNT = "leaves burnt"
    GO_ON = "go on after burnt leaves"
    RAIN = "rain told by a grower"
    AFTER_CUTOFF = "dose given after the cut-off"
    EARLY = "dose given early"
    LATE = "dose given late"
    TOLD_LATE = "dose reported days later"
    DONE = "dose given on its day"
    ELSEWHERE = "dose given elsewhere"
    NOT_DONE = "dose not given"
    SECOND = "dose reported for a second day"
    NO_CAN = "no can ready in time"
    PUT_OFF = "sowing put off"
    SILENCE = "days that passed, no news"


_PLAIN = {
    FactKind.SOWN: News.SOWN,
    FactKind.EMERGED: News.UP,
    FactKind.NOT_APPLIED: News.NOT_DONE,
    FactKind.SECOND_REPORT: News.SECOND,
    FactKind.NOT_READY: News.NO_CAN,
    FactKind.BURNT: News.BURNT,
    FactKind.GO_ON: News.GO_ON,
    FactKind.PUT_OFF: News.PUT_OFF,
    FactKind.RESOWN: News.RESOWN,
    FactKind.ELSEWHERE: News.ELSEWHERE,
}


def news_of(planned: Planned, before: Note) -> list[News]:
    """Return what is new about a planting, the strongest reason for another plan first."""
    facts = [fact for fact in planned.bundle.facts if fact.id > before.fact]
    found = [news for fact in facts if (news := _news(fact, before)) is not None]
    held = any(hold.id > before.hold for hold in planned.bundle.holds)
    if held and News.BURNT not in found:
        found.append(News.RAIN)
    return sorted(found, key=list(News).index)


def _news(fact: PlantingFactRow, before: Note) -> News | None:
    if fact.kind is not FactKind.APPLIED:
        return _PLAIN.get(fact.kind)
    if fact.flag is Flag.AFTER_CUTOFF:
        return News.AFTER_CUTOFF
    due_on = before.day_of(fact.dose_number or 0)
    if due_on is not None and fact.on != due_on:
        return News.EARLY if fact.on < due_on else News.LATE
    return News.DONE if fact.on == fact.recorded_at.date() else News.TOLD_LATE
