"""Open what the settings name, each fault beside the others; for bootstrap and the check."""

from collections.abc import Mapping
from datetime import datetime

from gateway_adapters.contract import Gateway
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.registry import open_gateway, reaches_phones
from service.clock import Clock, system_clock
from service.config import Profile, Settings
from service.errors import SettingsError
from service.messages.catalogue import Catalogue
from service.messages.language import CatalogueError
from service.records.engine import Sessions
from service.records.people import AssociationRow
from service.records.pretend import pretend_now
from service.records.routes import RouteFacts
from service.route_settings import RouteSettings
from service.ussd.texts import MenuTexts, load_menu


def demo_faults(settings: Settings) -> list[str]:
    """Return why a demo may not use the settings' routes: one of them may reach a real phone."""
    if settings.profile is not Profile.DEMO:
        return []
    return [
        f"The demo may only use a gateway that reaches no real phone; set the route {route.name!r}"
        " to the adapter fake, or to a peer on this machine."
        for route in settings.routes
        if _reaches(route.adapter, route.settings)
    ]


def _reaches(adapter: str, settings: Mapping[str, object]) -> bool:
    try:
        return reaches_phones(adapter, settings)
    except GatewayConfigError:
        return False  # named by the opening of the gateway itself


def open_catalogue(settings: Settings, faults: list[str]) -> Catalogue | None:
    """Return the texts, or None with their faults added."""
    try:
        return Catalogue.load(settings.texts)
    except CatalogueError as error:
        faults += error.faults
        return None


def open_menu(
    settings: Settings, catalogue: Catalogue | None, faults: list[str]
) -> MenuTexts | None:
    """Return the texts of the menu, or None with their faults added."""
    if catalogue is None:
        return None
    try:
        return load_menu(settings.texts, catalogue)
    except CatalogueError as error:
        faults += error.faults
        return None


def open_gateways(settings: Settings, clock: Clock, faults: list[str]) -> dict[str, Gateway]:
    """Return the gateway of each route, by the route's name, with the faults of the others."""
    opened: dict[str, Gateway] = {}
    for route in settings.routes:
        try:
            opened[route.name] = open_gateway(route.adapter, route.settings, clock)
        except GatewayConfigError as error:
            faults.append(str(error))
    return opened


def open_clock(settings: Settings, sessions: Sessions) -> Clock:
    """Return the system's clock, or in the demo the pretended one of the database."""
    if settings.profile is not Profile.DEMO:
        return system_clock

    def pretended() -> datetime:
        with sessions.read() as session:
            now = pretend_now(session)
        return system_clock() if now is None else now

    return pretended


def association_of(rows: list[AssociationRow], route: RouteSettings) -> AssociationRow | None:
    """Return the association that a route serves, None where there is none yet.

    Raises:
        SettingsError: the route names none of them, and there are several.
    """
    if route.association is not None:
        named = [row for row in rows if row.code == route.association]
        if not named and rows:
            raise SettingsError(["route.association names no association of this database."])
        return named[0] if named else None
    if len(rows) > 1:
        raise SettingsError(
            ["The database holds several associations; route.association must name one."]
        )
    return rows[0] if rows else None


def route_facts(route: RouteSettings) -> RouteFacts:
    """Return what the settings say of a route, as its row keeps it."""
    return RouteFacts(
        name=route.name,
        adapter=route.adapter,
        sender=route.sender,
        rate_per_s=route.rate_per_s,
        prefixes=route.prefixes,
        cost=route.cost,
        daily_segments=route.daily_segments,
    )
