"""What a page works with: the services, who is asking, in which language and on which day."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from typing import cast
from zoneinfo import ZoneInfo

from flask import current_app, g

from service.bootstrap import Services
from service.clock import Clock
from service.planning.send_window import local_day, zone_of
from service.records.engine import Session
from service.records.people import AssociationRow
from service.sign_in.entry import Entrance
from service.sign_in.visits import Visit
from service.web.tongue import SOURCE, Tongue

EXTENSION = "furrowbell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Office:
    """What all pages share. `wall` is the true time: sign-in never follows the demo's clock."""

    services: Services
    wall: Clock
    entrance: Entrance
    tongues: Mapping[str, Tongue]


@dataclass(frozen=True, slots=True, kw_only=True)
class Here:
    """A signed-in visitor's request."""

    office: Office
    visit: Visit
    association: AssociationRow
    tongue: Tongue
    now: datetime  # the service's time, which the demo pretends

    @property
    def association_id(self) -> int:
        """The tenant that every question is asked for."""
        return self.visit.association_id

    @property
    def services(self) -> Services:
        """The parts of the running service."""
        return self.office.services

    @property
    def zone(self) -> ZoneInfo:
        """The association's time zone."""
        return zone_of(self.association.zone)

    @property
    def today(self) -> date:
        """The farm day."""
        return local_day(self.now, self.zone)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Give a session for looking only."""
        with self.services.sessions.read() as session:
            yield session


def office() -> Office:
    """Return what all pages share."""
    return cast("Office", current_app.extensions[EXTENSION])


def here() -> Here:
    """Return the signed-in visitor's request; only pages behind the sign-in may ask."""
    return cast("Here", g.here)


def tongue() -> Tongue:
    """Return the language of this page; English where nothing could be asked yet."""
    return cast("Tongue", g.get("tongue", office().tongues[SOURCE]))
