"""A whole season of the demo, fast-forward: with the fake's phones, or through an SMPP centre."""

import gc
import os
import shlex
from datetime import datetime
from pathlib import Path

import click

from service.bootstrap import Services
from service.cli.store import take_in
from service.demo.behaviour import load_growers
from service.demo.centre import Centre, CentrePhones
from service.demo.crash import crash_at
from service.demo.hands import Hands, OwnHands
from service.demo.invariants import broken_rules
from service.demo.phones import Phones
from service.demo.samples import samples
from service.demo.season import LAST_DAYS, Season
from service.demo.setting_up import FINISHED, Place
from service.demo.summary import summary
from service.dispatch.dispatcher import Lane
from service.errors import RefusedError
from service.planning.send_window import zone_of

ZONE = zone_of("Africa/Dar_es_Salaam")
SEASON_START = datetime(2027, 2, 22, 6, 30, tzinfo=ZONE)
DRAIN_S = 5.0
ROWS_BETWEEN_COLLECTIONS = 50_000  # the usual 700 take a tenth of a season's time


def take_in_once(services: Services, folder: Path) -> None:
    """Read the demo's association; again would undo what its people have corrected since."""
    if services.lane() is None:
        take_in(services, folder / "association")


def play_with_fake(place: Place, folder: Path, *, days: int = LAST_DAYS) -> None:
    """Play a season on pretend phones; one that was cut off goes on where it stood."""
    if (place.folder / FINISHED).exists():
        place.reset()
    mark = crash_at(os.environ.get("FURROWBELL_REHEARSE_CRASH"))
    services = place.open(start=SEASON_START, mark=mark)
    lane = demo_lane(services, folder)
    phones, hands = services.pretend_phones(), OwnHands(services=services)
    season_of(services, lane, folder, phones=phones, hands=hands, days=days).play()
    tell_of(place, services, lane, phones)


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
        lane = demo_lane(services, folder)
        phones = CentrePhones(centre, services, lane)
        hands = OwnHands(services=services, settle=phones.settle)
        click.echo(f"The texts go by SMPP to a message centre at 127.0.0.1:{centre.port}.")
        season_of(services, lane, folder, phones=phones, hands=hands).play()
        tell_of(place, services, lane, phones)
        services.close(drain_s=DRAIN_S)
    finally:
        centre.close()


def demo_lane(services: Services, folder: Path) -> Lane:
    """Read the demo's association, unless it was read before, and return its way out."""
    take_in_once(services, folder)
    lane = services.lane()
    if lane is None:
        raise RefusedError("association", "The demo's association is missing.")
    return lane


def season_of(  # noqa: PLR0913 -- the season's parts, each of its own kind
    services: Services,
    lane: Lane,
    folder: Path,
    *,
    phones: Phones,
    hands: Hands,
    days: int = LAST_DAYS,
) -> Season:
    """Return the season of the demo's association, or its first days."""
    gc.set_threshold(ROWS_BETWEEN_COLLECTIONS)
    return Season(
        services=services,
        lane=lane,
        growers=load_growers(folder / "growers.toml"),
        zone=ZONE,
        first_on=SEASON_START.date(),
        say=click.echo,
        phones=phones,
        hands=hands,
        days=days,
    )


def tell_of(place: Place, services: Services, lane: Lane, phones: Phones) -> None:
    """Say what a season that was played came to; exit 1 where a rule was broken."""
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
