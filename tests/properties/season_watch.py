"""What must hold after every step of a season, from the database and from the phones."""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, time

from sqlalchemy import select

from gateway_adapters.fake_journal import FakeText
from service.agronomy.calendar import add_days
from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.agronomy.season import plan_season
from service.messages.kinds import KINDS
from service.messages.lifecycle import ENDED, State
from service.planning.season_facts import season_facts
from service.records.containers import containers
from service.records.engine import Session
from service.records.fields import DoseState, PlantingRow
from service.records.people import Consent, ConsentEventRow
from service.records.plantings import PlantingBundle, planting_bundle
from service.records.traffic import InboundRow, MessageDoseRow, MessageRow, RouteRow
from tests.world import ZONE, World

REST_DAYS = {
    Regime.OWN_HOUSEHOLD: 14,
    Regime.GENERAL: 30,
    Regime.SOLD_PROCESSED: 30,
    Regime.SOLD_ANY: 183,
}
AT_REST = ENDED | {State.UNKNOWN, State.SUBMITTED}
BEYOND_LIMITS = [kind.name for kind in KINDS.values() if kind.beyond_limits]
LITRE_NOISE = 1e-6


@dataclass(slots=True, kw_only=True)
class Watch:
    """Looks at a world after each of its steps; what it has seen once it does not judge again."""

    world: World
    seen: int = 0
    revisions: dict[int, int] = field(default_factory=dict)

    def look(self) -> None:
        """Hold every rule against the world as it stands."""
        carried = self.world.gateway.submitted()
        new, self.seen = carried[self.seen :], len(carried)
        with self.world.services.sessions.read() as session:
            rows = {row.token: row for row in session.scalars(select(MessageRow)) if row.token}
            links = _links(session)
            bundles = [
                planting_bundle(session, 1, planting_id)
                for planting_id in session.scalars(select(PlantingRow.id))
            ]
            for text in new:
                row = rows.get(text.token)
                assert row is not None or not text.on_phone, "a text left that is not on record"
                if row is not None and row.evening is not None:
                    _assert_may_be_started(session, text, row)
                    _assert_doses_may_be_told(session, row, links[row.id], bundles)
            _assert_limits(session, carried, rows, links)
            _assert_nothing_lost(session, self.world.clock())
            for bundle in bundles:
                _assert_plan_stands(bundle)
                self._assert_revisions_rise(bundle)

    def _assert_revisions_rise(self, bundle: PlantingBundle) -> None:
        for dose in bundle.doses:
            assert dose.revision >= self.revisions.get(dose.id, 1)
            self.revisions[dose.id] = dose.revision


def _links(session: Session) -> dict[int, list[MessageDoseRow]]:
    found: dict[int, list[MessageDoseRow]] = defaultdict(list)
    for row in session.scalars(select(MessageDoseRow)):
        found[row.message_id].append(row)
    return found


def _assert_may_be_started(session: Session, text: FakeText, row: MessageRow) -> None:
    local = text.at.astimezone(ZONE).time()
    assert time(6) <= local < time(20), "started in quiet hours"
    said = list(
        session.scalars(
            select(ConsentEventRow)
            .where(ConsentEventRow.phone_id == row.phone_id)
            .order_by(ConsentEventRow.id)
        )
    )
    own = [event.kind for event in said if event.kind is not Consent.VERBAL]
    assert Consent.VERBAL in [event.kind for event in said], "no spoken yes"
    assert own[-1:] != [Consent.STOPPED], "after STOP"
    assert row.kind == "consent" or own[-1:] == [Consent.GIVEN], "without the phone's own yes"
    assert not any(text.pauses for text in _unread(session, row)), "a refusal waits to be read"


def _unread(session: Session, row: MessageRow) -> list[InboundRow]:
    return list(
        session.scalars(
            select(InboundRow).where(
                InboundRow.phone_id == row.phone_id,
                InboundRow.to_read,
                InboundRow.read_at.is_(None),
            )
        )
    )


def _assert_doses_may_be_told(
    session: Session, row: MessageRow, links: list[MessageDoseRow], bundles: list[PlantingBundle]
) -> None:
    by_dose = {dose.id: (bundle, dose) for bundle in bundles for dose in bundle.doses}
    waiting = "".join(text.plots for text in _unread(session, row))
    for link in links:
        bundle, dose = by_dose[link.dose_id]
        plan = plan_season(season_facts(bundle))
        assert link.due_on <= plan.cutoff_on, "told for a day after the cut-off"
        ready = _ready_days(session, bundle)
        # a dose still open is told on the first evening on which its can is ready
        by = max(link.due_on, row.evening or link.due_on)
        assert any(on <= by for on in ready), "told before a container is ready"
        assert (bundle.plot.letter or "-") not in waiting, "a text about its plot waits to be read"
        household = bundle.household.id
        assert household in _consenting(session, row.phone_id), "the household did not consent"
        assert f"{bundle.plot.letter}{dose.number}" in (row.body or ""), (
            "its key is not in the text"
        )


def _ready_days(session: Session, bundle: PlantingBundle) -> list[date]:
    found = []
    for can in containers(session, 1, households=[bundle.household.id]):
        sealed_on = None
        for event in can.events:
            match event.kind:
                case CanEventKind.SEALED:
                    sealed_on = event.on
                case CanEventKind.REFILLED:
                    sealed_on = event.on if sealed_on is not None else None
                case CanEventKind.OPENED | CanEventKind.EMPTIED | CanEventKind.LEAKED:
                    sealed_on = None
        if sealed_on is not None:
            found.append(add_days(sealed_on, REST_DAYS[bundle.household.regime]))
    return found


def _consenting(session: Session, phone_id: int | None) -> set[int]:
    events = list(
        session.scalars(
            select(ConsentEventRow)
            .where(ConsentEventRow.phone_id == phone_id)
            .order_by(ConsentEventRow.id)
        )
    )
    stops = [event.id for event in events if event.kind in (Consent.STOPPED, Consent.REFUSED)]
    given = [
        event.id
        for event in events
        if event.kind is Consent.GIVEN and event.id > max(stops, default=0)
    ]
    return {
        event.household_id
        for event in events
        if event.kind is Consent.VERBAL
        and event.household_id is not None
        and event.id < max(given, default=0)
    }


def _assert_limits(
    session: Session,
    carried: list[FakeText],
    rows: dict[str, MessageRow],
    links: dict[int, list[MessageDoseRow]],
) -> None:
    on_phones = [text for text in carried if text.on_phone]
    tokens = Counter(text.token for text in on_phones)
    assert max(tokens.values(), default=0) <= 1, "sent twice"
    started = [
        (text, rows[text.token])
        for text in on_phones
        if rows[text.token].evening is not None and rows[text.token].kind not in BEYOND_LIMITS
    ]
    a_day = Counter((text.to, text.at.astimezone(ZONE).date()) for text, _ in started)
    assert max(a_day.values(), default=0) <= 1, "two texts started on one day"
    a_dose = Counter(link.dose_id for _, row in started for link in links[row.id])
    assert max(a_dose.values(), default=0) <= 3, "more than three texts for a dose"
    recorded = Counter(
        (row.phone_id, row.evening)
        for row in session.scalars(
            select(MessageRow).where(
                MessageRow.evening.is_not(None),
                MessageRow.kind.not_in(BEYOND_LIMITS),
                MessageRow.state.in_([State.SUBMITTED, State.DELIVERED, State.UNKNOWN]),
            )
        )
    )
    assert max(recorded.values(), default=0) <= 1, "two texts on record for one evening"


def _assert_nothing_lost(session: Session, now: datetime) -> None:
    paused = {row.id: row.paused_until for row in session.scalars(select(RouteRow))}
    for row in session.scalars(select(MessageRow)):
        if row.state in AT_REST:
            continue
        assert row.state is State.QUEUED, "left in the middle of a send"
        assert row.expires_at > now, "queued past its time"
        until = paused[row.route_id]
        assert row.due_at > now or (until is not None and until > now), "due and not sent"


def _assert_plan_stands(bundle: PlantingBundle) -> None:
    plan = plan_season(season_facts(bundle))
    kept = [row for row in bundle.doses if row.state is not DoseState.DROPPED]
    given_l = sum(row.urine_l for row in kept if row.state is DoseState.DONE)
    planned_l = sum(row.urine_l for row in kept)
    assert planned_l <= plan.target_litres + given_l + LITRE_NOISE, "more urine than the season's"
    if bundle.planting.closed_on is not None:
        return
    fresh = {dose.number: dose for dose in plan.doses}
    for row in bundle.doses:
        if row.state is DoseState.PLANNED:
            again = fresh[row.number]
            assert (row.due_on, row.closes_on) == (again.due_on, again.closes_on)
            lacking = 0.0 if row.told else row.short_l
            assert abs(row.urine_l + lacking - again.litres) < LITRE_NOISE, (
                "another amount than the facts give"
            )
            wet = row.urine_l * again.water_litres
            assert abs(row.water_l * again.litres - wet) < LITRE_NOISE, "another dilution"
            assert row.due_on <= plan.cutoff_on
    assert {row.number for row in kept} == fresh.keys(), "the plan was not written whole"
