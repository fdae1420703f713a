"""The season in one table, for a person at a terminal."""

from collections.abc import Iterator

from service.agronomy.season import plan_season
from service.bootstrap import Services
from service.demo.planner_told import planner_lines
from service.dispatch.dispatcher import Lane
from service.planning.allotting import Planned
from service.planning.board import harvest_from
from service.planning.season_facts import read_facts, season_facts
from service.planning.send_window import local_day, zone_of
from service.records.engine import Session
from service.records.fields import DoseState
from service.records.plantings import all_plantings, association
from service.records.season_report import (
    dose_counts,
    flag_counts,
    readings,
    task_counts,
    traffic,
)
from service.records.traffic import TaskKind

WIDTH = 34


def summary(services: Services, lane: Lane) -> str:
    """Return the season's table; after a crash only its lines with `unknown` may differ."""
    with services.sessions.read() as session:
        lines = [
            *_traffic(session, lane.association_id),
            *_answers(session, lane.association_id),
            *_doses(session, lane.association_id),
            *_tasks(session, lane.association_id),
            *_harvests(session, lane.association_id, services),
            *planner_lines(session, lane.association_id),
        ]
    return "\n".join(lines)


def _traffic(session: Session, association_id: int) -> Iterator[str]:
    yield "Texts sent"
    rows = traffic(session, association_id)
    for row in rows:
        yield _line(row.kind, f"{row.texts:5d} texts {row.segments:5d} segments")
    texts, segments = sum(row.texts for row in rows), sum(row.segments for row in rows)
    yield _line("all", f"{texts:5d} texts {segments:5d} segments")
    yield _line("of these unknown", f"{sum(row.unknown for row in rows):5d}")


def _answers(session: Session, association_id: int) -> Iterator[str]:
    yield "Texts from growers, by what they were read to mean"
    found = readings(session, association_id)
    for meaning, count in found.items():
        yield _line(meaning, f"{count:5d}")
    yield _line("all", f"{sum(found.values()):5d}")


def _doses(session: Session, association_id: int) -> Iterator[str]:
    yield "Doses"
    for row in dose_counts(session, association_id):
        name = row.state.value if row.reason is None else f"{row.state.value}, {row.reason}"
        litres = f"{row.litres:9.1f} L" if row.state is DoseState.DONE else ""
        yield _line(name, f"{row.doses:5d} {litres}".rstrip())
    flags = flag_counts(session, association_id)
    yield "Facts that broke a rule, recorded and answered with the safe step"
    for flag, count in sorted(flags.items()):
        yield _line(flag.value, f"{count:5d}")
    if not flags:
        yield _line("none", "")


def _tasks(session: Session, association_id: int) -> Iterator[str]:
    yield "Calls and things to look at"
    for kind, count in sorted(task_counts(session, association_id).items()):
        name = "texts unknown" if kind is TaskKind.UNKNOWN else kind.value
        yield _line(name, f"{count:5d}")


def _harvests(session: Session, association_id: int, services: Services) -> Iterator[str]:
    yield "Harvests, with the first safe day"
    zone = zone_of(association(session, association_id).zone)
    today = local_day(services.clock(), zone)
    for bundle in all_plantings(session, association_id):
        plan = plan_season(season_facts(bundle))
        safe_on = harvest_from(Planned(bundle=bundle, plan=plan), today)
        harvested_on = read_facts(bundle).harvested_on
        early = safe_on is not None and harvested_on is not None and harvested_on < safe_on
        yield _line(
            f"{bundle.household.code} {bundle.plot.letter or '-'} {bundle.planting.crop}",
            f"safe from {safe_on or 'the start'}  harvested {harvested_on or 'not yet'}"
            f"{'  TOO EARLY' if early else ''}",
        )


def _line(name: str, value: str) -> str:
    return f"  {name:<{WIDTH}}{value}".rstrip()
