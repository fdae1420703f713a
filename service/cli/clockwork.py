"""`furrowbell tick`, `serve` and `text`: steps of the service, and a grower's answer."""

import signal
from datetime import datetime
from threading import Event

import click

from service.bootstrap import Services, build
from service.cli.running import plain_refusals, services_now, settings_now
from service.config import Profile
from service.errors import RefusedError
from service.jobs import start_ticker
from service.planning.send_window import zone_of
from service.records.plantings import associations
from service.records.pretend import move_pretend_clock
from service.web.app import create_app
from service.web.serving import Server


@click.command("tick")
@click.option("--at", "at", help="The instant, as 2027-03-27T18:00 or with +03:00.")
def tick_command(at: str | None) -> None:
    """Run one scheduling step, now or at a given instant."""
    with plain_refusals():
        services = services_now()
        if at is None:
            services.step()
            return
        tick_at(services, at)


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
    build(services.settings, catalogue=services.catalogue, clock=lambda: now).step()


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


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to answer on.")
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True)
@click.option("--proxy", help="The address of the proxy in front, such as 127.0.0.1.")
def serve_command(*, host: str, port: int, proxy: str | None) -> None:
    """Run the service and its pages until it is stopped."""
    with plain_refusals():
        services = services_now()
        services.lane()
        server = Server(create_app(services), host=host, port=port, proxy=proxy)
    click.echo(f"The pages are at {server.address}; Ctrl-C ends the service.")
    run_until_stopped(services, server)


def run_until_stopped(services: Services, server: Server) -> None:
    """Answer and tick until the process is asked to end, then let the gateway finish."""
    stopped = Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: stopped.set())
    server.start()
    ticker = start_ticker(services)
    stopped.wait()
    server.close()
    ticker.shutdown(wait=True)
    services.gateway.close(drain_s=30)


@click.command("text")
@click.argument("number")
@click.argument("words", nargs=-1, required=True)
def text_command(number: str, words: tuple[str, ...]) -> None:
    """Send a text as a grower with a pretend phone would: only with the fake gateway."""
    with plain_refusals():
        services = build(settings_now())
        phones = services.pretend_phones()
        phones.answer(number, " ".join(words), to=services.settings.route.sender)
    click.echo("Sent. The answer comes with the next step.")
