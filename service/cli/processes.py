"""`furrowbell serve`, `work` and `web`: the processes that run until they are stopped."""

import signal
from dataclasses import replace
from threading import Event

import click

from service.bootstrap import Services
from service.cli.running import plain_refusals, services_now
from service.config import Profile
from service.demo.stepping import Stepping
from service.errors import RefusedError
from service.heartbeat import Heartbeat
from service.jobs import STEP, Job, start_ticker, watched
from service.planning.planners import Pace
from service.records.workers import WorkerKind
from service.web.app import create_app
from service.web.serving import Server

BEAT_S = 10.0
PLAN_S = 1.0  # at a time: half of the ticker's two seconds, for what is due has to leave too
DRAIN_S = 8  # of a gateway's answers on the way; whoever stops us kills us after ten or more


def _pages(command: click.Command) -> click.Command:
    """Add the options of a command that answers browsers."""
    host = click.option(
        "--host", default="127.0.0.1", show_default=True, help="The address to answer on."
    )
    port = click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True)
    proxy = click.option("--proxy", help="The address of the proxy in front, such as 127.0.0.1.")
    return host(port(proxy(command)))


@_pages
@click.command("serve")
def serve_command(*, host: str, port: int, proxy: str | None) -> None:
    """Run the service and its pages until it is stopped."""
    with plain_refusals():
        services = at_its_pace(watched(services_now()))
        services.lane()
        server = Server(create_app(services), host=host, port=port, proxy=proxy)
    stopped = asked_to_stop()
    click.echo(f"The pages are at {server.address}; Ctrl-C ends the service.")
    run_until_stopped(services, server, stopped)


@click.command("work")
@click.option(
    "--routes", help="The routes to serve, with commas between, such as main,other; else all."
)
def work_command(*, routes: str | None) -> None:
    """Plan and send until stopped, without pages; any number may run on PostgreSQL."""
    with plain_refusals():
        services = at_its_pace(watched(services_now()))
        services = replace(services, serving=_served(services, routes))
        services.lane()
    stopped = asked_to_stop()
    click.echo("At work; Ctrl-C ends it.")
    run_until_stopped(services, None, stopped, kind=WorkerKind.WORK)


@_pages
@click.command("web")
def web_command(*, host: str, port: int, proxy: str | None) -> None:
    """Answer browsers and gateways until stopped; `furrowbell work` plans and sends."""
    with plain_refusals():
        services = watched(services_now())
        server = Server(create_app(services), host=host, port=port, proxy=proxy)
    stopped = asked_to_stop()
    click.echo(f"The pages are at {server.address}; Ctrl-C ends them.")
    run_until_stopped(services, server, stopped, kind=WorkerKind.WEB)


def at_its_pace(services: Services) -> Services:
    """Return the services planning beside others, and never so long that texts wait for it.

    The demo, whose time is pretended, plans everything whenever it moves.
    """
    if services.settings.profile is Profile.DEMO:
        return services
    return replace(services, pace=Pace(shared=True, at_most_s=PLAN_S))


def _served(services: Services, routes: str | None) -> frozenset[str]:
    """Return the names that were given.

    Raises:
        RefusedError: `routes`, where the settings do not name one of them.
    """
    if routes is None:
        return frozenset()
    known = [route.name for route in services.settings.routes]
    named = {name.strip() for name in routes.split(",")}
    if named - set(known):
        raise RefusedError("routes", f"The settings name these routes: {', '.join(known)}.")
    return frozenset(named)


def asked_to_stop() -> Event:
    """Return what is set from now on when the process is asked to end."""
    stopped = Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: stopped.set())
    return stopped


def run_until_stopped(
    services: Services,
    server: Server | None,
    stopped: Event,
    *,
    kind: WorkerKind = WorkerKind.SERVE,
) -> None:
    """Answer and work until the process is asked to end.

    Then no further batch is begun, and what is on its way may still be answered.
    """
    heart = Heartbeat.begin(services, kind)
    beat = Job(id="beat", every_s=BEAT_S, run=lambda _: heart.beat())
    in_demo = kind is WorkerKind.WORK and services.settings.profile is Profile.DEMO
    stepping = Stepping(services, heart.worker_id) if in_demo else None
    if server is not None:
        server.start()
    ticker = start_ticker(services, [beat] if in_demo or kind is WorkerKind.WEB else [STEP, beat])
    if stepping is not None:
        stepping.start()
    stopped.wait()
    services.ending.set()
    if server is not None:
        server.close()
    if stepping is not None:
        stepping.join()
    ticker.shutdown(wait=True)
    services.close(drain_s=DRAIN_S)
    heart.end()
