"""Which tasks stand together in a list, and whose homes they are about."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time

from service.messages.phone import masked_number
from service.planning.send_window import at_local
from service.records.engine import Session
from service.records.people import HouseholdRow
from service.records.phones import phones_by_ids
from service.records.task_lines import TaskLine
from service.records.traffic import TaskKind
from service.web.here import Here
from service.web.sentence import Sentence, sentence
from service.web.task_words import settled_words, why_words

CALL, UNKNOWN, NOT_TOLD, ENROL, MINE = "call", "unknown", "not-told", "enrol", "mine"
KINDS: Mapping[str, Collection[TaskKind]] = {
    CALL: tuple(
        kind
        for kind in TaskKind
        if kind not in (TaskKind.UNKNOWN, TaskKind.NOT_TOLD, TaskKind.ENROL)
    ),
    UNKNOWN: (TaskKind.UNKNOWN,),
    NOT_TOLD: (TaskKind.NOT_TOLD,),
    ENROL: (TaskKind.ENROL,),
}
TO_CALL = tuple(kind for kind in TaskKind if kind is not TaskKind.ENROL)  # one after the other
HEADINGS: Mapping[str, Sentence] = {
    CALL: sentence("Call now"),
    UNKNOWN: sentence("Not known whether sent"),
    NOT_TOLD: sentence("Not told"),
    ENROL: sentence("Wishes to join"),
    MINE: sentence("Done by me today"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskItem:
    """One line of a list: whom it is about, why it stands there, or how it was settled."""

    line: TaskLine
    homes: tuple[HouseholdRow, ...]
    sender: str  # masked; blank where the task is about an enrolled phone
    why: Sentence
    settled: Sentence


def day_began(asked: Here) -> datetime:
    """Return the instant at which the farm day began."""
    return at_local(asked.today, time(), asked.zone)


def task_items(session: Session, association_id: int, lines: Sequence[TaskLine]) -> list[TaskItem]:
    """Return lines with their homes: the household's own, or those that share the phone."""
    return [
        TaskItem(
            line=line,
            homes=homes,
            sender="" if line.text is None or homes else masked_number(line.text.sender),
            why=why_words(line),
            settled=settled_words(line.task),
        )
        for line, homes in zip(lines, _homes(session, association_id, lines), strict=True)
    ]


def _homes(
    session: Session, association_id: int, lines: Iterable[TaskLine]
) -> list[tuple[HouseholdRow, ...]]:
    phones = {line.task.phone_id or 0 for line in lines if line.household is None}
    known = phones_by_ids(session, association_id, phones)
    found: list[tuple[HouseholdRow, ...]] = []
    for line in lines:
        if line.household is not None:
            found.append((line.household,))
            continue
        bundle = known.get(line.task.phone_id or 0)
        found.append(() if bundle is None else bundle.households)
    return found
