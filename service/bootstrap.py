"""Build the object graph once, by hand. Nothing is built at import, nothing looked up by name."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial
from threading import Event, Lock

from gateway_adapters.contract import Gateway
from gateway_adapters.events import Inbound, Screen, UssdEvent
from gateway_adapters.fake import FakeGateway
from service.clock import Clock
from service.config import Settings
from service.dispatch.asker import Asker
from service.dispatch.clock_watch import ClockWatch, doubt_of, look_at
from service.dispatch.dispatcher import Dispatcher, Lane, Mark, Watch, no_mark
from service.dispatch.parking import parking
from service.dispatch.receiver import Receiver, Takers
from service.dispatch.rendering import renderer
from service.errors import RefusedError, ServiceError, SettingsError
from service.inbound.handler import handle_text
from service.inbound.keeping import Route
from service.messages.catalogue import Catalogue
from service.opening import (
    association_of,
    demo_faults,
    open_catalogue,
    open_clock,
    open_gateways,
    open_menu,
    route_facts,
)
from service.planning.planners import Pace, Planner
from service.records.engine import Session, Sessions, open_engine
from service.records.migrate import check_version
from service.records.people import AssociationRow
from service.records.plantings import associations
from service.records.routes import ensure_route, retire_others
from service.route_settings import RouteSettings
from service.ussd.closed import closed_screen
from service.ussd.handler import Menu, handle_step
from service.ussd.texts import MenuTexts


@dataclass(frozen=True, slots=True, kw_only=True)
class Services:
    """The parts of a running service; `gateways` by the name of their route."""

    settings: Settings
    sessions: Sessions
    catalogue: Catalogue
    menu: MenuTexts
    gateways: Mapping[str, Gateway]
    clock: Clock
    mark: Mark
    stepping: Lock = field(default_factory=Lock)  # the ticker and a page may both ask for a step
    watch: ClockWatch | None = None  # None: whatever time the clock shows is right
    ending: Event = field(default_factory=Event)  # set when the process is asked to end
    pace: Pace = field(default_factory=Pace)
    serving: frozenset[str] = frozenset()  # names of the routes that this process serves; none: all

    def goes_on(self) -> bool:
        """Say whether more work may be begun."""
        return not self.ending.is_set()

    @property
    def gateway(self) -> Gateway:
        """The gateway of the first route."""
        return self.gateways[self.settings.route.name]

    @property
    def pretends(self) -> bool:
        """Say whether the phones are pretend ones."""
        return isinstance(self.gateway, FakeGateway)

    def step(self) -> None:
        """Do one scheduling step: take what came in, plan, send what is due, take receipts."""
        with self.stepping:
            doubt = look_at(self.watch)
            lanes = [lane for lane in self.lanes() if lane.name in self.serving or not self.serving]
            for lane in lanes:
                self.receiver(lane).run_once()
            if doubt is not None:
                return
            for first in {lane.association_id: lane for lane in reversed(lanes)}.values():
                self.plan(first)
            for lane in lanes:
                self.dispatcher(lane).run_once()
                self.receiver(lane).run_once()
                Asker(self.sessions, lane, clock=self.clock).run_once()

    def lane(self) -> Lane | None:
        """Return the way out of the first route's association, None before one was imported.

        Raises:
            SettingsError: several associations, and the route names none of them.
        """
        return next(iter(self.lanes()), None)

    def lanes(self) -> list[Lane]:
        """Return the way out of each route whose association is there, in the settings' order.

        Raises:
            SettingsError: several associations, and a route names none of them.
        """
        found: list[Lane] = []
        with self.sessions.begin() as session:
            rows = associations(session)
            for route in self.settings.routes:
                row = association_of(rows, route)
                if row is not None:
                    found.append(self._lane(session, row, route))
            own = {lane.association_id for lane in found}
            for association_id in own:
                names = {lane.name for lane in found if lane.association_id == association_id}
                retire_others(session, association_id, names)
        return found

    def _lane(self, session: Session, row: AssociationRow, route: RouteSettings) -> Lane:
        kept = ensure_route(session, row.id, route_facts(route), now=self.clock())
        return Lane(
            association_id=row.id,
            route_id=kept.id,
            name=route.name,
            sender=kept.sender,
            language=row.language,
            gateway=self.gateways[route.name],
            ussd_max=route.ussd_max,
        )

    def pretend_phones(self) -> FakeGateway:
        """Return the pretend phones of the fake gateway.

        Raises:
            RefusedError: `text`, where the gateway is another.
        """
        if isinstance(self.gateway, FakeGateway):
            return self.gateway
        raise RefusedError("text", "Only the fake gateway has pretend phones.")

    def plan(self, lane: Lane) -> None:
        """Bring the association's queue and call list in line with what is known now."""
        Planner(
            sessions=self.sessions,
            association_id=lane.association_id,
            catalogue=self.catalogue,
            clock=self.clock,
            pace=self.pace,
            go_on=self.goes_on,
        ).run_once()

    def dispatcher(self, lane: Lane) -> Dispatcher:
        """Return what sends on a lane."""
        return Dispatcher(
            self.sessions,
            lane,
            render=renderer(self.catalogue, lane.language),
            watch=Watch(clock=self.clock, mark=self.mark, go_on=self.goes_on),
        )

    def receiver(self, lane: Lane) -> Receiver:
        """Return what takes in a lane's receipts, texts and USSD steps."""
        takers = Takers(on_text=partial(_take_text, self), on_ussd=partial(_take_step, self))
        if doubt_of(self.watch) is not None:
            takers = parking(lambda *_: closed_screen(self.menu, lane.language))
        return Receiver(
            self.sessions,
            lane,
            takers=takers,
            clock=self.clock,
            mark=self.mark,
            go_on=self.goes_on,
        )

    def close(self, *, drain_s: float) -> None:
        """Let every gateway finish."""
        for gateway in self.gateways.values():
            gateway.close(drain_s=drain_s)


def build(
    settings: Settings,
    *,
    gateway: Gateway | None = None,
    catalogue: Catalogue | None = None,
    clock: Clock | None = None,
    mark: Mark = no_mark,
) -> Services:
    """Build the services; tests pass their own gateway (for the first route) and clock.

    Texts that were loaded and checked before may be passed on, for that takes a while.

    Raises:
        SettingsError: every fault of the gateways, the texts and the demo's safety, at once.
        DatabaseVersionError: the database is older or newer than this program.
    """
    barred = demo_faults(settings)
    faults = list(barred)
    texts = catalogue or open_catalogue(settings, faults)
    menu = open_menu(settings, texts, faults)
    engine = open_engine(settings.database_url)
    sessions = Sessions(engine)
    ticking = clock or open_clock(settings, sessions)
    opened: Mapping[str, Gateway] = {}
    if gateway is not None:
        opened = {settings.route.name: gateway}
    elif not barred:  # opening alone may already reach a network
        opened = open_gateways(settings, ticking, faults)
    if faults or texts is None or menu is None:
        raise SettingsError(faults)
    try:
        check_version(engine)
    except ServiceError:
        engine.dispose()
        raise
    return Services(
        settings=settings,
        sessions=sessions,
        catalogue=texts,
        menu=menu,
        gateways=opened,
        clock=ticking,
        mark=mark,
    )


def _take_text(services: Services, session: Session, lane: Lane, event: Inbound) -> None:
    route = Route(association_id=lane.association_id, route_id=lane.route_id)
    handle_text(session, route, event, now=services.clock())


def _take_step(services: Services, session: Session, lane: Lane, event: UssdEvent) -> Screen | None:
    menu = Menu(
        route=Route(association_id=lane.association_id, route_id=lane.route_id),
        texts=services.menu,
        catalogue=services.catalogue,
        most=lane.ussd_max,
    )
    return handle_step(session, menu, event, now=services.clock())
