"""`furrowbell staff`: who may sign in to the pages.

Nothing here sets a password: each person chooses one by a one-time link.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypedDict, Unpack

import click

from service.bootstrap import Services
from service.cli.running import plain_refusals, services_now
from service.clock import system_clock
from service.errors import RefusedError
from service.records.engine import Session
from service.records.people import AssociationRow
from service.records.plantings import associations
from service.records.staff import Role, StaffRow
from service.records.staff_queries import present_staff, staff_named
from service.sign_in.links import make_link
from service.sign_in.staff import By, NewStaff, add_staff, folded_name, may_be_name, remove_staff

HERE = "http://127.0.0.1:8000"
COMMAND = By(who="command", origin="command")
_address = click.option("--address", default=HERE, show_default=True, help="Where the pages are.")


class AddOptions(TypedDict):
    """The options of `add` as click hands them over."""

    name: str
    shown: str
    role: str
    language: str
    association: str | None
    address: str


@click.group("staff")
def staff_command() -> None:
    """Add, list and remove those who may sign in, and give them one-time links."""


@staff_command.command("add")
@click.option("--name", required=True, help="What is typed at sign-in, as asha.m.")
@click.option("--shown", required=True, help="The name that others see.")
@click.option("--role", type=click.Choice([role.value for role in Role]), required=True)
@click.option("--language", required=True, help="The language of the pages, as sw.")
@click.option("--association", help="Its code; not needed where there is only one.")
@_address
def add_command(**given: Unpack[AddOptions]) -> None:
    """Add a person, and print the link with which they choose a password."""
    with plain_refusals(), _services() as services:
        services.settings.needed_secret_key()  # without it the link would open no page
        _check_language(services, given["language"])
        now = system_clock()
        new = NewStaff(
            name=given["name"],
            shown=given["shown"],
            role=Role(given["role"]),
            language=given["language"],
        )
        with services.sessions.begin() as session:
            tenant = _association(session, given["association"]).id
            staff_id = add_staff(session, tenant, new, by=COMMAND, now=now)
            token = make_link(session, tenant, staff_id, by=COMMAND, now=now)
    _tell_link(given["address"], token)


@staff_command.command("link")
@click.argument("name")
@_address
def link_command(name: str, address: str) -> None:
    """Print a new one-time link for a person; their second factor stays as it is."""
    with plain_refusals(), _services() as services:
        services.settings.needed_secret_key()
        with services.sessions.begin() as session:
            row = _present(session, name)
            token = make_link(session, row.association_id, row.id, by=COMMAND, now=system_clock())
    _tell_link(address, token)


@staff_command.command("list")
def list_command() -> None:
    """Print those who may sign in."""
    with plain_refusals(), _services() as services, services.sessions.read() as session:
        lines = [
            _line(association, row)
            for association in associations(session)
            for row in present_staff(session, association.id)
        ]
    for line in lines or ["Nobody may sign in yet; add an administrator with `staff add`."]:
        click.echo(line)


@staff_command.command("remove")
@click.argument("name")
def remove_command(name: str) -> None:
    """Remove a person: they are signed out everywhere and their links end."""
    with plain_refusals(), _services() as services, services.sessions.begin() as session:
        row = _present(session, name)
        remove_staff(session, row.association_id, row.id, by=COMMAND, now=system_clock())
    click.echo("Removed; every sign-in of this person has ended.")


@contextmanager
def _services() -> Iterator[Services]:
    services = services_now()
    try:
        yield services
    finally:
        services.sessions.engine.dispose()


def _check_language(services: Services, code: str) -> None:
    known = services.catalogue.languages
    if code not in known:
        raise RefusedError(
            "language", f"There is no language {code!r}; choose one of {', '.join(known)}."
        )


def _association(session: Session, code: str | None) -> AssociationRow:
    rows = associations(session)
    if not rows:
        raise RefusedError("association", "There is no association yet; import one first.")
    found = [row for row in rows if code in (None, row.code)]
    if len(found) != 1:
        codes = ", ".join(row.code for row in rows)
        raise RefusedError("association", f"Name one with --association: {codes}.")
    return found[0]


def _present(session: Session, name: str) -> StaffRow:
    folded = folded_name(name)
    row = staff_named(session, folded) if may_be_name(folded) else None
    if row is None or row.removed_at is not None:
        raise RefusedError(
            "name", "Nobody signs in with this name; `furrowbell staff list` shows all."
        )
    return row


def _line(association: AssociationRow, row: StaffRow) -> str:
    state = "waiting for the link to be used" if row.password_hash is None else "may sign in"
    person = f"{row.name}  {row.shown}  {row.role.value}  {row.language}"
    return f"{person}  {association.code}  {state}"


def _tell_link(address: str, token: str) -> None:
    click.echo(f"{address.rstrip('/')}/first-visit/{token}")
    click.echo("The link works once, within 48 hours. Give it to that person alone.")
