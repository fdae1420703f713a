"""`furrowbell demo`: the invented association on pretend phones."""

import os
import shlex
import sys
from datetime import datetime
from pathlib import Path
from threading import Event, Thread

import click

from service.bootstrap import Services
from service.cli.clockwork import run_until_stopped
from service.cli.running import plain_refusals
from service.cli.store import take_in
from service.clock import system_clock
from service.demo.behaviour import load_growers
from service.demo.crash import crash_at
from service.demo.invariants import broken_rules
from service.demo.opening import open_demo
from service.demo.samples import samples
from service.demo.season import Season
from service.demo.setting_up import FINISHED, SETTINGS, WAY_IN, Place
from service.demo.summary import summary
from service.demo.way_in import one_time_path, way_in
from service.errors import RefusedError
from service.planning.send_window import zone_of
from service.web.app import create_app
from service.web.serving import Server

ZONE = zone_of("Africa/Dar_es_Salaam")
SEASON_START = datetime(2027, 2, 22, 6, 30, tzinfo=ZONE)
LIVE_EVE = datetime(2027, 2, 28, 9, 0, tzinfo=ZONE)
LIVE_START = datetime(2027, 3, 1, 9, 0, tzinfo=ZONE)
LOOK_EVERY_S = 0.5
HOST, USUAL_PORT = "127.0.0.1", 8000


@click.command("demo")
@click.option("--data", type=click.Path(path_type=Path), default=Path(".demo"), help="Its folder.")
@click.option(
    "--folder",
    type=click.Path(path_type=Path),
    default=Path("deploy"),
    envvar="FURROWBELL_DEMO_FOLDER",
    help="Where the association and growers.toml are.",
)
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    help="Where the pages are; else 8000 or another free one.",
)
@click.option("--season", is_flag=True, help="Play a whole season fast-forward, then stop.")
@click.option("--reset", is_flag=True, help="Forget what the demo did before.")
def demo_command(*, data: Path, folder: Path, port: int | None, season: bool, reset: bool) -> None:
    """Run the demo; it reaches no real phone."""
    place = Place(folder=(data / ("season" if season else "live")).resolve())
    with plain_refusals():
        if not (folder / "growers.toml").is_file():
            raise RefusedError(
                "folder", "The demo's association is not here; start it with ./deploy/demo."
            )
        if reset:
            place.reset()
        if season:
            _play(place, folder)
            return
        services = place.open(start=LIVE_EVE)
        take_in(services, folder / "association")
        open_demo(services, asked_at=LIVE_EVE, opens_at=LIVE_START)
        server = _server(services, port)
    _watch(services, place, server)


def _play(place: Place, folder: Path) -> None:
    if (place.folder / FINISHED).exists():
        place.reset()
    growers = load_growers(folder / "growers.toml")
    mark = crash_at(os.environ.get("FURROWBELL_REHEARSE_CRASH"))
    services = place.open(start=SEASON_START, mark=mark)
    take_in(services, folder / "association")
    lane = services.lane()
    if lane is None:
        raise RefusedError("association", "The demo's association is missing.")
    season = Season(
        services=services,
        lane=lane,
        growers=growers,
        zone=ZONE,
        first_on=SEASON_START.date(),
        say=click.echo,
    )
    season.play()
    (place.folder / FINISHED).touch()
    click.echo("\nSome of the texts, as the phones show them")
    for line in samples(services):
        click.echo(f"  {line}")
    click.echo(f"\n{summary(services, lane)}\n")
    faults = broken_rules(services, lane)
    for fault in faults:
        click.echo(f"RULE BROKEN: {fault}", err=True)
    if faults:
        raise click.exceptions.Exit(1)
    click.echo("Every rule of the season held.")


def _server(services: Services, port: int | None) -> Server:
    app = create_app(services)
    try:
        return Server(app, host=HOST, port=USUAL_PORT if port is None else port)
    except RefusedError:
        if port is not None:
            raise
        return Server(app, host=HOST, port=0)


def _watch(services: Services, place: Place, server: Server) -> None:
    program = shlex.quote(str(Path(sys.argv[0]).resolve()))
    known = way_in(services, place.folder / WAY_IN)
    # links are of true time, as all of signing in is; only the farm's days are pretended
    link = one_time_path(services, now=system_clock())
    click.echo(
        "The demo runs. Open this in a browser on this machine; it works once and signs you in:\n"
        f"  {server.address}{link}\n"
        f"To sign in by hand at {server.address}: name {known.name}, password {known.password},\n"
        f"and a code from a code app with this TOTP secret: {known.totp_secret}\n"
        "Time stands still until you move it on the page of the pretend phones, or here in a\n"
        "second terminal:\n"
        f"  export FURROWBELL_SETTINGS={shlex.quote(str(place.folder / SETTINGS))}\n"
        f"  {program} text +255100000002 YES      # answer as a grower\n"
        f"  {program} tick --at 2027-03-09T18:00  # go on to an evening\n"
        "Ctrl-C ends it. What the pretend phones receive:"
    )
    stop = Event()
    shower = Thread(target=_show, args=(services, stop), daemon=True)
    shower.start()
    run_until_stopped(services, server)
    stop.set()
    shower.join()


def _show(services: Services, stop: Event) -> None:
    seen = 0
    while True:
        texts = services.pretend_phones().texts()
        for text in texts[seen:]:
            at = text.at.astimezone(ZONE)
            click.echo(f"{at:%a %d %b %H:%M}  to {text.to}: {text.text}")
        seen = len(texts)
        if stop.wait(LOOK_EVERY_S):
            return
