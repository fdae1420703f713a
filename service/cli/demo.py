"""`furrowbell demo`: the invented association on pretend phones."""

import shlex
import sys
from datetime import datetime
from pathlib import Path
from threading import Event, Thread

import click

from service.bootstrap import Services
from service.cli.demo_season import ZONE, play_over_centre, play_with_fake, take_in_once
from service.cli.processes import asked_to_stop, run_until_stopped
from service.cli.running import plain_refusals
from service.clock import system_clock
from service.demo.opening import open_demo
from service.demo.season import LAST_DAYS
from service.demo.setting_up import SETTINGS, WAY_IN, Place
from service.demo.way_in import one_time_path, way_in
from service.errors import RefusedError
from service.web.app import create_app
from service.web.serving import Server

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
@click.option(
    "--days", type=click.IntRange(1, LAST_DAYS), default=LAST_DAYS, help="The season's first days."
)
@click.option("--reset", is_flag=True, help="Forget what the demo did before.")
@click.option(
    "--gateway",
    type=click.Choice(["fake", "smpp"]),
    default="fake",
    help="What the season's texts go through; smpp needs --season.",
)
def demo_command(  # noqa: PLR0913 -- one value an option
    *,
    data: Path,
    folder: Path,
    port: int | None,
    season: bool,
    days: int,
    reset: bool,
    gateway: str,
) -> None:
    """Run the demo; it reaches no real phone."""
    name = "season" if gateway == "fake" else f"season-{gateway}"
    place = Place(folder=(data / (name if season else "live")).resolve())
    with plain_refusals():
        see_that_it_is_here(folder)
        if gateway != "fake" and not season:
            raise RefusedError("gateway", "--gateway smpp goes with --season; add that.")
        if reset:
            place.reset()
        if season and gateway == "smpp":
            play_over_centre(place, folder)
            return
        if season:
            play_with_fake(place, folder, days=days)
            return
        services = place.open(start=LIVE_EVE)
        take_in_once(services, folder)
        open_demo(services, asked_at=LIVE_EVE, opens_at=LIVE_START)
        server = _server(services, port)
    _watch(services, place, server)


def see_that_it_is_here(folder: Path) -> None:
    """Look whether a folder is that of the demo's association.

    Raises:
        RefusedError: `folder`, where it is not.
    """
    if not (folder / "growers.toml").is_file():
        raise RefusedError(
            "folder", "The demo's association is not here; start it with ./deploy/demo."
        )


def _server(services: Services, port: int | None) -> Server:
    app = create_app(services)
    try:
        return Server(app, host=HOST, port=USUAL_PORT if port is None else port)
    except RefusedError:
        if port is not None:
            raise
        return Server(app, host=HOST, port=0)


def _watch(services: Services, place: Place, server: Server) -> None:
    greet(services, place, server.address)
    # from the first line that is shown on, Ctrl-C must end it
    stop = asked_to_stop()
    shower = Thread(target=show_texts, args=(services, stop), daemon=True)
    shower.start()
    run_until_stopped(services, server, stop)
    shower.join()


def greet(services: Services, place: Place, address: str) -> None:
    """Say how to get in, and how time is moved."""
    program = shlex.quote(str(Path(sys.argv[0]).resolve()))
    known = way_in(services, place.folder / WAY_IN)
    # links are of true time, as all of signing in is; only the farm's days are pretended
    link = one_time_path(services, now=system_clock())
    click.echo(
        "The demo runs. Open this in a browser on this machine; it works once and signs you in:\n"
        f"  {address}{link}\n"
        f"To sign in by hand at {address}: name {known.name}, password {known.password},\n"
        f"and a code from a code app with this TOTP secret: {known.totp_secret}\n"
        "Time stands still until you move it on the page of the pretend phones, or here in a\n"
        "second terminal:\n"
        f"  export FURROWBELL_SETTINGS={shlex.quote(str(place.folder / SETTINGS))}\n"
        f"  {program} text --from +255100000002 YES  # answer as a grower\n"
        f"  {program} tick --at 2027-03-09T18:00     # go on to an evening\n"
        "Ctrl-C ends it. What the pretend phones receive:"
    )


def show_texts(services: Services, stop: Event) -> None:
    """Show what the pretend phones receive, until it is to stop."""
    seen = 0
    while True:
        texts = services.pretend_phones().texts()
        for text in texts[seen:]:
            at = text.at.astimezone(ZONE)
            click.echo(f"{at:%a %d %b %H:%M}  to {text.to}: {text.text}")
        seen = len(texts)
        if stop.wait(LOOK_EVERY_S):
            return
