"""What the pages of cans, of the season and of tasks look at, to be asked for two associations."""

from collections.abc import Callable
from datetime import date

from service.records.containers_page import container_ids, container_line, container_lines
from service.records.engine import Session
from service.records.locality_book import locality_book
from service.records.locality_lists import (
    area_hold_by_id,
    entry_of_hold,
    local_value_by_id,
    local_values,
    planted_households,
    planting_places,
    season_span_by_id,
)
from service.records.route_list import (
    doses_to_tell,
    doses_told_on,
    route_by_id,
    waiting_numbers,
    waiting_texts,
)
from service.records.season_page import (
    counts_by_area,
    season_doses,
    season_facts_told,
    season_holds,
)
from service.records.season_report import on_their_way, parts_of_texts, texts_taken
from service.records.task_lines import (
    count_settled,
    count_tasks,
    message_of_task,
    settled_lines,
    task_line,
    task_lines,
    task_order,
)
from service.records.tasks import task_to_settle
from service.records.today_page import count_holds, first_to_read, holds_on, next_outgoing
from service.records.traffic import TaskKind
from tests.unit.records.full import HELD_ON, WHO
from tests.world import START

SINCE = date(2027, 1, 1)
TOLD_ON = date(2027, 3, 14)

PAGE_LOOKS: dict[str, Callable[[Session, int], object]] = {
    "area_hold_by_id": lambda session, tenant: area_hold_by_id(session, tenant, 1),
    "container_ids": container_ids,
    "container_line": lambda session, tenant: container_line(session, tenant, 1),
    "container_lines": lambda session, tenant: container_lines(session, tenant, [1]),
    "counts_by_area": lambda session, tenant: counts_by_area(session, tenant, since=SINCE),
    "season_doses": lambda session, tenant: list(season_doses(session, tenant, since=SINCE)),
    "season_facts_told": lambda session, tenant: season_facts_told(session, tenant, since=SINCE),
    "season_holds": lambda session, tenant: season_holds(session, tenant, since=SINCE),
    "count_holds": lambda session, tenant: count_holds(session, tenant, HELD_ON),
    "count_settled": lambda session, tenant: count_settled(session, tenant, who=WHO, since=START),
    "count_tasks": lambda session, tenant: count_tasks(session, tenant, today=SINCE).now,
    "doses_to_tell": lambda session, tenant: doses_to_tell(
        session, tenant, evening=SINCE, due_until=date(2028, 1, 1)
    ),
    "doses_told_on": lambda session, tenant: doses_told_on(session, tenant, TOLD_ON),
    "route_by_id": lambda session, tenant: route_by_id(session, tenant, 1),
    "waiting_numbers": lambda session, tenant: waiting_numbers(session, tenant, 1, now=START),
    "waiting_texts": lambda session, tenant: waiting_texts(session, tenant, now=START),
    "entry_of_hold": lambda session, tenant: entry_of_hold(session, tenant, 1),
    "first_to_read": lambda session, tenant: first_to_read(session, tenant, most=9),
    "holds_on": lambda session, tenant: holds_on(session, tenant, HELD_ON, first=0, most=9),
    "local_value_by_id": lambda session, tenant: local_value_by_id(session, tenant, 1),
    "local_values": local_values,
    "locality_book": lambda session, tenant: locality_book(session, tenant).values,
    "message_of_task": lambda session, tenant: message_of_task(session, tenant, 1),
    "next_outgoing": lambda session, tenant: next_outgoing(session, tenant, now=START),
    "on_their_way": on_their_way,
    "parts_of_texts": parts_of_texts,
    "texts_taken": texts_taken,
    "planted_households": lambda session, tenant: planted_households(session, tenant, area_id=None),
    "planting_places": lambda session, tenant: planting_places(session, tenant, [1]),
    "season_span_by_id": lambda session, tenant: season_span_by_id(session, tenant, 1),
    "settled_lines": lambda session, tenant: settled_lines(
        session, tenant, who=WHO, since=START, first=0, most=9
    ),
    "task_line": lambda session, tenant: task_line(session, tenant, 1),
    "task_lines": lambda session, tenant: task_lines(
        session, tenant, kinds=list(TaskKind), today=SINCE, first=0, most=9
    ),
    "task_order": lambda session, tenant: task_order(
        session, tenant, kinds=list(TaskKind), today=SINCE
    ),
    "task_to_settle": lambda session, tenant: task_to_settle(session, tenant, 1),
}
