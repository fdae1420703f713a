"""What the commands with a database share: settings, the graph, and plain refusals."""

import os
from collections.abc import Iterator
from contextlib import contextmanager

import click

from service.bootstrap import Services, build
from service.clock import Clock
from service.config import Settings, load_settings
from service.errors import ServiceError
from service.records.faults import STORE_FAULTS

REFUSED_STATUS = 2


@contextmanager
def plain_refusals() -> Iterator[None]:
    """Turn an error meant for people into its sentence on standard error and exit 2."""
    try:
        yield
    except ServiceError as error:
        click.echo(error.sentence, err=True)
        raise click.exceptions.Exit(REFUSED_STATUS) from error
    except STORE_FAULTS as error:
        click.echo(
            "The database cannot be used: see that its server runs, or that its folder is there "
            "and can be written, and run this again.",
            err=True,
        )
        raise click.exceptions.Exit(REFUSED_STATUS) from error


def settings_now() -> Settings:
    """Return the settings that the environment names."""
    return load_settings(os.environ)


def services_now(*, clock: Clock | None = None) -> Services:
    """Build the services that the environment's settings describe."""
    services = build(settings_now(), clock=clock)
    # a server is told that we go, and does not find out by itself
    click.get_current_context().call_on_close(services.sessions.engine.dispose)
    return services
