"""A whole season of the demo, fast-forward: with the fake's phones, or through an SMPP centre."""

import os
import shlex
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import click

from service.bootstrap import Services
from service.cli.store import take_in
from service.demo.behaviour import load_growers
from service.demo.centre import Centre, CentrePhones
from service.demo.crash import crash_at
from service.demo.invariants import broken_rules
from service.demo.phones import Phones
from service.demo.samples import samples
from service.demo.season import Season, no_wait
from service.demo.setting_up import FINISHED, Place
from service.demo.summary import summary
from service.dispatch.dispatcher import Lane
from service.errors import RefusedError
from service.planning.send_window import zone_of

ZONE = zone_of("Africa/Dar_es_Salaam")
SEASON_START = datetime(2027, 2, 22, 6, 30, tzinfo=ZONE)
DRAIN_S = 5.0


def take_in_once(services: Services, folder: Path) -> None:
    """Read the demo's association; again would undo what its people have corrected since."""
    if services.lane() is None:
        take_in(services, folder / "association")


def play_with_fake(place: Place, folder: Path) -> None:
    """Play a season on pretend phones; one that was cut off goes on where it stood."""
    if (place.folder / FINISHED).exists():
        place.reset()
    mark = crash_at(os.environ.get("FURROWBELL_REHEARSE_CRASH"))
    services = place.open(start=SEASON_START, mark=mark)
    lane = _lane(services, folder)
    _play(place, folder, services, lane, phones=services.pretend_phones(), settle=no_wait)


def play_over_centre(place: Place, folder: Path) -> None:
    """Play a season through an SMPP message centre of another make, from the beginning.

    Raises:
        RefusedError: `gateway`, where there is no centre, or it does not start.
    """
    command = os.environ.get("FURROWBELL_DEMO_CENTRE")
    if not command:
        raise RefusedError("gateway", "Start this with ./deploy/demo, which sets up the centre.")
    place.reset()
    centre = Centre(shlex.split(command))
    try:
        services = place.open(start=SEASON_START, centre_port=centre.port)
        lane = _lane(services, folder)
        phones = CentrePhones(centre, services, lane)
        click.echo(f"The texts go by SMPP to a message centre at 127.0.0.1:{centre.port}.")
        _play(place, folder, services, lane, phones=phones, settle=phones.settle)
        services.close(drain_s=DRAIN_S)
    finally:
        centre.close()


def _lane(services: Services, folder: Path) -> Lane:
    take_in_once(services, folder)
    lane = services.lane()
    if lane is None:
        raise RefusedError("association", "The demo's association is missing.")
    return lane


def _play(  # noqa: PLR0913 -- the season's parts, each of its own kind
    place: Place,
    folder: Path,
    services: Services,
    lane: Lane,
    *,
    phones: Phones,
    settle: Callable[[], None],
) -> None:
    season = Season(
        services=services,
        lane=lane,
        growers=load_growers(folder / "growers.toml"),
        zone=ZONE,
        first_on=SEASON_START.date(),
        say=click.echo,
        phones=phones,
        settle=settle,
    )
    season.play()
    (place.folder / FINISHED).touch()
    click.echo("\nSome of the texts, as the phones show them")
    for line in samples(services, phones):
        click.echo(f"  {line}")
    click.echo(f"\n{summary(services, lane)}\n")
    faults = broken_rules(services, lane, phones)
    for fault in faults:
        click.echo(f"RULE BROKEN: {fault}", err=True)
    if faults:
        raise click.exceptions.Exit(1)
    click.echo("Every rule of the season held.")
