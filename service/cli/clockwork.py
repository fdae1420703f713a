"""`furrowbell tick` and `serve`: steps of the service, one by one or all the time."""

from datetime import datetime

import click

from service.bootstrap import Services, build
from service.cli.running import plain_refusals, services_now
from service.config import Profile
from service.dispatch.clock_watch import doubt_of
from service.errors import RefusedError
from service.jobs import watched
from service.planning.send_window import zone_of
from service.records.plantings import associations
from service.records.pretend import move_pretend_clock


@click.command("tick")
@click.option("--at", "at", help="The instant, as 2027-03-27T18:00 or with +03:00.")
def tick_command(at: str | None) -> None:
    """Run one scheduling step, now or at a given instant."""
    with plain_refusals():
        services = services_now()
        if at is None:
            tick_now(services)
            return
        tick_at(services, at)


def tick_now(services: Services) -> None:
    """Run one step now.

    Raises:
        RefusedError: `clock`, where the clock is in doubt; what came in was kept all the same.
    """
    services = watched(services)
    services.step()
    if doubt_of(services.watch) is not None:
        raise RefusedError(
            "clock",
            "Nothing was sent: the date and time of this machine are in doubt. See `furrowbell "
            "check`; an administrator settles it on Today.",
        )


def tick_at(services: Services, at: str) -> None:
    """Run one step at an instant; one without an offset is read in the association's zone.

    Raises:
        RefusedError: `at`, where the instant cannot be read, or associations differ in zone.
    """
    now = instant(services, at)
    if services.settings.profile is Profile.DEMO:
        with services.sessions.begin() as session:
            move_pretend_clock(session, now)
        services.step()
        return
    # the gateway must show the same time, so the services are built for it anew
    then = build(services.settings, catalogue=services.catalogue, clock=lambda: now)
    then.step()
    then.sessions.engine.dispose()


def instant(services: Services, at: str) -> datetime:
    """Return the instant that a text names.

    Raises:
        RefusedError: `at`.
    """
    try:
        named = datetime.fromisoformat(at)
    except ValueError as error:
        raise RefusedError(
            "at", "--at needs an instant such as 2027-03-27T18:00 or 2027-03-27T18:00+03:00."
        ) from error
    if named.tzinfo is not None:
        return named
    with services.sessions.read() as session:
        zones = {row.zone for row in associations(session)}
    if len(zones) != 1:
        raise RefusedError(
            "at", "Write the instant with its offset, such as 2027-03-27T18:00+03:00."
        )
    return named.replace(tzinfo=zone_of(zones.pop()))
