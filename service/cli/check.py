"""`furrowbell check`: look at everything that must be right, a line each, and send nothing."""

from collections.abc import Iterator

import click

from service.cli.check_clock import clock_findings
from service.cli.check_database import (
    NO_ANSWER,
    Reach,
    disk_wait_findings,
    journal_findings,
    reach_of,
    write_findings,
)
from service.cli.check_disk import disk_findings
from service.cli.check_finding import Asked, Finding, Look, well, wrong
from service.cli.check_queue import queue_findings
from service.cli.check_routes import gateway_findings, text_findings
from service.cli.check_standing import standing_findings
from service.cli.check_workers import worker_findings
from service.cli.check_zones import zone_findings
from service.cli.running import plain_refusals, settings_now
from service.clock import Clock, system_clock
from service.config import Settings
from service.opening import open_clock
from service.records.engine import Sessions, open_engine
from service.records.faults import STORE_FAULTS
from service.records.store_facts import association_zones, database_file

LOOKS: tuple[Look, ...] = (  # each needs the tables of this version; a new one is a row here
    clock_findings,
    queue_findings,
    worker_findings,
    standing_findings,
)


@click.command("check")
def check_command() -> None:
    """Look for what is wrong, and say what to do about it; nothing is sent to anybody."""
    with plain_refusals():
        settings = settings_now()
        sessions = Sessions(open_engine(settings.database_url))
    count = 0
    try:
        for finding in findings(settings, sessions, machine=system_clock):
            click.echo(finding.sentence if finding.is_well else f"Wrong: {finding.sentence}")
            count += not finding.is_well
    finally:
        sessions.engine.dispose()
    if count:
        click.echo(f"{count} thing(s) to put right.")
        raise click.exceptions.Exit(1)
    click.echo("All is well.")


def findings(settings: Settings, sessions: Sessions, *, machine: Clock) -> Iterator[Finding]:
    """Yield what each look finds; where the database cannot be asked, what needs none of it."""
    yield well("The settings can be read.")
    yield from text_findings(settings)
    yield from journal_findings(sessions)
    reach, said = reach_of(sessions)
    yield said
    yield from disk_findings(database_file(sessions.engine))
    clock = open_clock(settings, sessions) if reach is Reach.ALL else machine
    asked = Asked(settings=settings, sessions=sessions, clock=clock, machine=machine)
    if reach is Reach.NOTHING:
        yield from zone_findings([])
    else:
        yield from _guarded(_database_looks, asked)
    if reach is Reach.ALL:
        for look in LOOKS:
            yield from _guarded(look, asked)
    try:
        yield from gateway_findings(settings, clock)
    except STORE_FAULTS:  # in the demo the time comes from the database
        yield wrong(NO_ANSWER)


def _database_looks(asked: Asked) -> list[Finding]:
    with asked.sessions.read() as session:
        zones = association_zones(session)
    return [
        *write_findings(asked.sessions),
        *disk_wait_findings(asked.sessions),
        *zone_findings(zones),
    ]


def _guarded(look: Look, asked: Asked) -> list[Finding]:
    try:
        return look(asked)
    except STORE_FAULTS:
        return [wrong(NO_ANSWER)]
