"""`furrowbell migrate` and `furrowbell import`: the tables, and what is in them."""

from pathlib import Path

import click

from service.bootstrap import Services
from service.cli.running import plain_refusals, services_now, settings_now
from service.intake.load import Visit, load_folder
from service.intake.rules import Rules
from service.intake.store import IntakeResult
from service.records.engine import open_engine
from service.records.migrate import upgrade


@click.command("migrate")
def migrate_command() -> None:
    """Bring the database to this version's tables."""
    with plain_refusals():
        engine = open_engine(settings_now().database_url)
        try:
            upgrade(engine)
        finally:
            engine.dispose()
    click.echo("The database is up to date.")


@click.command("import")
@click.argument("folder", type=click.Path(path_type=Path))
def import_command(folder: Path) -> None:
    """Read an association from a folder of CSV files: all of it or nothing.

    The same folder twice changes nothing; a changed cell changes its row.
    """
    with plain_refusals():
        result = take_in(services_now(), folder)
    click.echo(f"{result.added} added, {result.changed} changed, {result.unchanged} as they were.")


def take_in(services: Services, folder: Path) -> IntakeResult:
    """Read a folder into the database of the services.

    Raises:
        IntakeError: holds every fault of every file; nothing was stored.
    """
    now = services.clock()
    languages = services.catalogue.languages
    rules = Rules(
        test_numbers=services.settings.test_numbers,
        allowed_countries=services.settings.allowed_countries,
        languages=tuple(languages),
        words=tuple(language.words for language in languages.values()),
        today=now.date(),
    )
    return load_folder(services.sessions, folder, rules=rules, visit=Visit(who="import", now=now))
