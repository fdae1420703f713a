"""`furrowbell demo-many`: the demo on PostgreSQL, with two processes at work and one for pages."""

import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import rmtree
from threading import Event

import click

from service.bootstrap import Services
from service.cli.demo import (
    HOST,
    LIVE_EVE,
    LIVE_START,
    USUAL_PORT,
    greet,
    see_that_it_is_here,
    show_texts,
)
from service.cli.demo_season import SEASON_START, demo_lane, season_of, tell_of
from service.cli.processes import asked_to_stop
from service.cli.running import plain_refusals
from service.demo.opening import open_demo
from service.demo.postgres import OwnPostgres
from service.demo.season import LAST_DAYS
from service.demo.setting_up import FINISHED, SETTINGS, Place
from service.demo.supervisor import Part, Supervisor, own_environment
from service.demo.worker_hands import StoppedError, WorkerHands
from service.errors import RefusedError

AT_WORK = 2
LOG, SERVER = "log", "postgresql"


@click.command("demo-many")
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
def demo_many_command(  # noqa: PLR0913 -- one value an option
    *, data: Path, folder: Path, port: int | None, season: bool, days: int, reset: bool
) -> None:
    """Run the demo in several processes on PostgreSQL; it reaches no real phone."""
    home = (data / ("many-season" if season else "many-live")).resolve()
    with plain_refusals():
        see_that_it_is_here(folder)
        if reset or (season and (home / FINISHED).exists()):
            forget(home)
        running = Running(home=home, folder=folder, stop=asked_to_stop())
        with running.server() as place:
            if season:
                running.play(place, free_port(port), days)
            else:
                running.live(place, free_port(port))


class Running:
    """The processes of a demo, and what is done with them."""

    def __init__(self, *, home: Path, folder: Path, stop: Event) -> None:
        self._home = home
        self._folder = folder
        self._stop = stop
        self._crew = Supervisor(log=home / LOG, say=click.echo, stop=stop)

    @contextmanager
    def server(self) -> Iterator[Place]:
        """Give a place with a running PostgreSQL server; end all that was started with the block.

        Raises:
            RefusedError: `postgres`, where it cannot be had.
        """
        server = OwnPostgres.lay_out(self._home / SERVER)
        try:
            self._crew.start(server.part())
            server.migrate()
            yield Place(folder=self._home, database_url=server.url)
        finally:
            self._crew.end()
            server.forget_door()

    def live(self, place: Place, port: int) -> None:
        """Let people try it until they end it.

        Raises:
            RefusedError: `parts`, where a process does not stay alive.
        """
        services = place.open(start=LIVE_EVE)
        demo_lane(services, self._folder)
        open_demo(services, asked_at=LIVE_EVE, opens_at=LIVE_START)
        self._start(port)
        greet(services, place, f"http://{HOST}:{port}")
        show_texts(services, self._stop)
        self._leave(services)

    def play(self, place: Place, port: int, days: int) -> None:
        """Play a season over the processes, and say what it came to.

        Raises:
            RefusedError: `parts`, where a process does not stay alive; `work`, where the work is
                not done.
        """
        services = place.open(start=SEASON_START)
        lane = demo_lane(services, self._folder)
        self._start(port)
        hands = WorkerHands(services=services, lane=lane, stop=self._stop)
        phones = services.pretend_phones()
        season = season_of(services, lane, self._folder, phones=phones, hands=hands, days=days)
        try:
            hands.through(season.play)
        except StoppedError:
            self._leave(services)
            click.echo("The season was ended; started again, it goes on where it stood.")
            raise click.exceptions.Exit(1) from None
        tell_of(place, services, lane, phones)
        self._leave(services)

    def _start(self, port: int) -> None:
        settings = own_environment(FURROWBELL_SETTINGS=str(self._home / SETTINGS))
        commands = {
            **{f"work-{number}": ["work"] for number in range(1, AT_WORK + 1)},
            "web": ["web", "--host", HOST, "--port", str(port)],
        }
        for name, words in commands.items():
            self._crew.start(
                Part(
                    name=name,
                    command=[sys.executable, "-m", "service.cli.main", *words],
                    folder=Path.cwd(),
                    environment=settings,
                )
            )

    def _leave(self, services: Services) -> None:
        services.sessions.engine.dispose()
        if self._crew.gave_up is not None:
            raise RefusedError(
                "parts",
                f"{self._crew.gave_up} does not stay alive; see its file in {self._home / LOG}.",
            )


def forget(home: Path) -> None:
    """Remove the files that a demo made in its folder, and only those."""
    Place(folder=home).reset()
    for name in (LOG, SERVER):
        rmtree(home / name, ignore_errors=True)


def free_port(wanted: int | None) -> int:
    """Return the port that was asked for, else the usual one if it is free, else another.

    Raises:
        RefusedError: `port`, where the port that was asked for is taken.
    """
    for port in (USUAL_PORT, 0) if wanted is None else (wanted,):
        try:
            with socket.create_server((HOST, port)) as door:
                return int(door.getsockname()[1])
        except OSError:
            continue
    raise RefusedError("port", f"The port {wanted} cannot be used; name another with --port.")
