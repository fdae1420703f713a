"""Two associations, each with a phone, a route and a dose, and texts in their queues."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from sqlalchemy import select

from gateway_adapters.contract import Outcome
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.outbox.claim import Claim, Render, claim_due
from service.outbox.due import Due
from service.outbox.enqueue import Draft, enqueue
from service.outbox.receipts import settle
from service.records.base import Base
from service.records.engine import Session, Sessions
from service.records.fields import DoseRow, DoseState, PlantingRow, PlotRow
from service.records.people import AreaRow, AssociationRow, HouseholdRow, PhoneRow
from service.records.traffic import (
    ClaimRow,
    MessageEventRow,
    MessageRow,
    RouteDayRow,
    RouteRow,
)

NOW = datetime(2027, 3, 14, 15, 0, tzinfo=UTC)  # 18:00 in East Africa
EIGHT = datetime(2027, 3, 14, 17, 0, tzinfo=UTC)
EVENING = date(2027, 3, 14)
PHONE = "+255100000001"  # possible by its length, in no assigned range


def later(seconds: float) -> datetime:
    """Return an instant so many seconds after NOW."""
    return NOW + timedelta(seconds=seconds)


def two_tenants(sessions: Sessions, *, rate_per_s: float = 500) -> None:
    """Add associations 1 and 2; phone, route, household and dose have the association's id."""
    with sessions.begin() as session:
        for number in (1, 2):
            for row in _tenant(number, rate_per_s):
                session.add(row)
                session.flush()  # the next row points to this one


def _tenant(number: int, rate_per_s: float) -> list[Base]:
    own: dict[str, Any] = {"id": number, "association_id": number}
    return [
        AssociationRow(
            id=number,
            code=f"a{number}",
            name="Invented Growers",
            zone="Africa/Dar_es_Salaam",
            country="TZ",
            language="en",
            phone="+255100000090",
            cost="free",
            store_c=24,
            recorded_at=NOW,
        ),
        AreaRow(**own, code="N", name="North"),
        HouseholdRow(
            **own,
            area_id=number,
            code="H1",
            alias="H1",
            label="H1",
            adults=1,
            children=0,
            regime=Regime.GENERAL,
            language="en",
            word=None,
            discreet=False,
            remind_minute=18 * 60,
            needs_call=False,
            cup_ml=250,
            recorded_at=NOW,
        ),
        PhoneRow(
            **own, number=PHONE, typed=PHONE, language="en", muted_until=None, recorded_at=NOW
        ),
        RouteRow(
            **own,
            name="main",
            adapter="fake",
            sender="15050",
            rate_per_s=rate_per_s,
            tokens=max(rate_per_s, 1.0),
            tokens_at=NOW,
            paused_until=None,
            paused_for=None,
        ),
        PlotRow(
            **own,
            household_id=number,
            code="P1",
            letter="A",
            area_m2=100,
            soil=Soil.NORMAL,
            recorded_at=NOW,
        ),
        PlantingRow(
            **own,
            plot_id=number,
            code="S1",
            crop="maize-grain",
            planted_on=date(2027, 3, 15),
            season=Season.RAINS,
            water_ratio=0,
            litres_per_m2=1.5,
            season_days=None,
            first_harvest_on=None,
            transplanted=None,
            closed_on=None,
            recorded_at=NOW,
        ),
        DoseRow(
            **own,
            planting_id=number,
            number=1,
            due_on=date(2027, 3, 15),
            closes_on=date(2027, 3, 21),
            urine_l=20,
            water_l=0,
            revision=1,
            state=DoseState.PLANNED,
            reason=None,
            told=False,
        ),
    ]


def a_draft(key: str = "jobs:1", **changes: Any) -> Draft:  # noqa: ANN401 -- any field of a draft
    """Return a reminder due at NOW, or one with the changes asked for."""
    usual = Draft(
        route_id=1,
        phone_id=1,
        number=PHONE,
        kind="dose",
        language="en",
        dedupe_key=key,
        due_at=NOW,
        expires_at=EIGHT,
        evening=EVENING,
        fields={"values": {"plot": "A"}},
    )
    return replace(usual, **changes)


def put(
    sessions: Sessions, *drafts: Draft, association_id: int = 1, now: datetime = NOW
) -> list[int | None]:
    """Queue drafts and return the ids of what was queued."""
    with sessions.begin() as session:
        return [enqueue(session, association_id, draft, now=now) for draft in drafts]


def queued(sessions: Sessions, key: str = "jobs:1", **changes: Any) -> int:  # noqa: ANN401 -- any field of a draft
    """Queue one draft and return its id."""
    (message_id,) = put(sessions, a_draft(key, **changes))
    assert message_id is not None
    return message_id


def plain(row: Due) -> str:
    """Write a text that tells its key."""
    return f"text of {row.dedupe_key}"


def claim(
    sessions: Sessions,
    *,
    now: datetime = NOW,
    limit: int = 100,
    render: Render = plain,
) -> Claim | None:
    """Claim what is due on the first association's route."""
    with sessions.begin() as session:
        return claim_due(session, 1, 1, now=now, limit=limit, render=render)


def claimed(sessions: Sessions, *, now: datetime = NOW) -> Claim:
    """Claim what is due; there must be something."""
    made = claim(sessions, now=now)
    assert made is not None
    return made


def answer(sessions: Sessions, made: Claim, *outcomes: Outcome, now: datetime = NOW) -> None:
    """Settle a claim with the gateway's answers."""
    with sessions.begin() as session:
        settle(session, 1, made, outcomes, now=now)


def message(sessions: Sessions, message_id: int) -> MessageRow:
    """Return a message as it stands."""
    with sessions.read() as session:
        return session.get_one(MessageRow, message_id)


def steps(sessions: Sessions, message_id: int) -> list[tuple[str, str]]:
    """Return a message's events with the state that each led to."""
    with sessions.read() as session:
        rows = session.scalars(
            select(MessageEventRow)
            .where(MessageEventRow.message_id == message_id)
            .order_by(MessageEventRow.id)
        )
        return [(row.event, row.state.value) for row in rows]


def why(sessions: Sessions, message_id: int) -> str:
    """Return what the last event of a message says."""
    with sessions.read() as session:
        row = session.scalars(
            select(MessageEventRow)
            .where(MessageEventRow.message_id == message_id)
            .order_by(MessageEventRow.id.desc())
            .limit(1)
        ).one()
        return row.detail


def leases(sessions: Sessions) -> list[ClaimRow]:
    """Return the leases that stand."""
    with sessions.read() as session:
        return list(session.scalars(select(ClaimRow)))


def route(sessions: Sessions) -> RouteRow:
    """Return the first association's route."""
    with sessions.read() as session:
        return session.get_one(RouteRow, 1)


def dose(sessions: Sessions) -> DoseRow:
    """Return the first association's dose."""
    with sessions.read() as session:
        return session.get_one(DoseRow, 1)


def spend(session: Session, association_id: int, route_id: int, segments: int, day: date) -> None:
    """Count segments on a route's day, as if so many had left."""
    known = session.query(RouteDayRow).filter_by(route_id=route_id, day=day).one_or_none()
    if known is None:
        known = RouteDayRow(association_id=association_id, route_id=route_id, day=day, segments=0)
        session.add(known)
    known.segments += segments
    session.flush()
