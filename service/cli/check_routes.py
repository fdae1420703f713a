"""The texts and the gateways: what the settings name is opened and tried, and nothing is sent."""

from collections.abc import Iterator

from gateway_adapters.contract import Gateway, HealthState
from service.cli.check_finding import Finding, well, wrong
from service.cli.routes import DRAIN_S
from service.clock import Clock
from service.config import Settings
from service.opening import demo_faults, open_catalogue, open_gateways, open_menu
from service.outbox.retry import submit_deadline
from service.route_settings import RouteSettings


def text_findings(settings: Settings) -> list[Finding]:
    """Return every fault of the texts and of the menu's."""
    faults: list[str] = []
    open_menu(settings, open_catalogue(settings, faults), faults)
    return [wrong(fault) for fault in faults] or [well("The texts are in order.")]


def gateway_findings(settings: Settings, clock: Clock) -> Iterator[Finding]:
    """Open each route's gateway and try it; what cannot be opened has a line of its own.

    In a demo with a route that may reach a real phone none is opened.
    """
    barred = demo_faults(settings)
    if barred:
        yield from map(wrong, barred)
        return
    faults: list[str] = []
    opened = open_gateways(settings, clock, faults)
    try:
        yield from map(wrong, faults)
        for route in settings.routes:
            if route.name in opened:
                yield _tried(opened[route.name], route, clock)
    finally:
        for gateway in opened.values():
            gateway.close(drain_s=DRAIN_S)


def _tried(gateway: Gateway, route: RouteSettings, clock: Clock) -> Finding:
    health = gateway.check(deadline=submit_deadline(clock()))
    reason = f": {health.reason}" if health.reason else "."
    said = f"Route {route.name} ({route.adapter}) is {health.state.value}{reason}"
    if health.state is not HealthState.DOWN:
        return well(said)
    return wrong(f"{said} See that its gateway runs, and its [route] in the settings.")
