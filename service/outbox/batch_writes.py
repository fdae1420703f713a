"""What a whole batch writes, in a few statements and without objects.

PostgreSQL, to which each statement is a journey, gets all of it in one, with the texts as one JSON
value; SQLite, which is at home, gets one row after another.
"""

import json
from collections.abc import Sequence
from datetime import date, datetime
from typing import NamedTuple

from sqlalchemy import Connection, TextClause, text

from service.records.base import UtcDateTime
from service.records.engine import Session

_INSTANT = UtcDateTime()


class Frozen(NamedTuple):
    """A text as it will leave."""

    id: int
    token: str
    body: str
    segments: int


class Taken(NamedTuple):
    """A text that the gateway has taken; `gateway_id` is None where it gave none."""

    id: int
    token: str
    gateway_id: str | None


class Lease(NamedTuple):
    """Whose a batch is and until when, on which day it counts, and what its route holds then."""

    association_id: int
    route_id: int
    expires_at: datetime
    day: date
    tokens_left: float


class Accepted(NamedTuple):
    """A text that was moved to `submitted`; `heard` if a receipt for it came before its answer."""

    id: int
    heard: bool


_NOTED = """e AS (INSERT INTO message_event (association_id, message_id, at, event, state, detail)
    SELECT :association_id, m.id, :now, '{event}', '{state}', '' FROM m)"""


def _noting(sql: str, event: str, state: str) -> TextClause:
    """Return a statement in which what happened to each text is written down as well."""
    return text(sql.replace("{noted}", _NOTED.replace("{event}", event).replace("{state}", state)))


_FREEZE = _noting(
    """WITH f AS (SELECT * FROM json_to_recordset(CAST(:texts AS json))
      AS f (id integer, token text, body text, segments integer)),
    m AS (UPDATE message SET state = 'claimed', changed_at = :now, token = f.token,
      body = f.body, segments = f.segments
      FROM f WHERE message.id = f.id RETURNING message.id),
    {noted},
    r AS (UPDATE route SET tokens = :tokens_left, tokens_at = :now, paused_until = NULL,
      paused_for = NULL WHERE id = :route_id),
    d AS (INSERT INTO route_day (association_id, route_id, day, segments)
      SELECT :association_id, :route_id, :day, sum(segments) FROM f
      ON CONFLICT (route_id, day)
      DO UPDATE SET segments = route_day.segments + excluded.segments)
    INSERT INTO claim (association_id, route_id, expires_at, messages)
    SELECT :association_id, :route_id, :expires_at, json_build_object('ids', json_agg(f.id))
    FROM f RETURNING id""",
    "claim",
    "claimed",
)
_ACCEPT = _noting(
    """WITH f AS (SELECT * FROM json_to_recordset(CAST(:texts AS json))
      AS f (id integer, token text, gateway_id text)),
    m AS (UPDATE message SET state = 'submitted', changed_at = :now,
      gateway_id = coalesce(f.gateway_id, message.gateway_id)
      FROM f WHERE message.id = f.id AND message.state = 'claimed' AND message.token = f.token
      AND message.association_id = :association_id
      RETURNING message.id, message.route_id, f.gateway_id),
    {noted},
    d AS (UPDATE dose SET told = true FROM message_dose, m
      WHERE message_dose.message_id = m.id AND dose.id = message_dose.dose_id
      AND dose.association_id = :association_id AND NOT dose.told)
    SELECT m.id, EXISTS (SELECT FROM orphan_receipt o WHERE o.gateway_id = m.gateway_id
      AND o.route_id = m.route_id AND o.association_id = :association_id) FROM m""",
    "accept",
    "submitted",
)
_LITE_FREEZE = (
    "UPDATE message SET state = 'claimed', changed_at = ?, token = ?, body = ?, segments = ?"
    " WHERE id = ?"
)
_LITE_EVENT = (
    "INSERT INTO message_event (association_id, message_id, at, event, state, detail)"
    " VALUES (?, ?, ?, ?, ?, '')"
)
_LITE_ROUTE = (
    "UPDATE route SET tokens = ?, tokens_at = ?, paused_until = NULL, paused_for = NULL"
    " WHERE id = ?"
)
_LITE_DAY = (
    "INSERT INTO route_day (association_id, route_id, day, segments) VALUES (?, ?, ?, ?)"
    " ON CONFLICT (route_id, day) DO UPDATE SET segments = segments + excluded.segments"
)
_LITE_CLAIM = (
    "INSERT INTO claim (association_id, route_id, expires_at, messages) VALUES (?, ?, ?, ?)"
    " RETURNING id"
)
_LITE_CLAIMED = (
    "SELECT m.id, m.token, EXISTS (SELECT 1 FROM orphan_receipt o"
    " WHERE o.gateway_id = json_extract(f.value, '$[2]') AND o.route_id = m.route_id"
    " AND o.association_id = m.association_id)"
    " FROM json_each(?) f CROSS JOIN message m ON m.id = json_extract(f.value, '$[0]')"
    " WHERE +m.association_id = ? AND m.state = 'claimed'"
)
_LITE_ACCEPT = (
    "UPDATE message SET state = 'submitted', changed_at = ?,"
    " gateway_id = coalesce(?, gateway_id) WHERE id = ?"
)
_LITE_TOLD = (  # the plus keeps SQLite from walking through all doses of the association
    "UPDATE dose SET told = 1 WHERE told = 0 AND +association_id = ?"
    " AND id IN (SELECT dose_id FROM message_dose WHERE message_id = ?)"
)


def freeze_batch(session: Session, lease: Lease, texts: Sequence[Frozen], *, now: datetime) -> int:
    """Move queued texts to `claimed` with what they will say, under a lease; return its id.

    Their segments are counted on the day, and the route's token bucket is written down.
    """
    connection = session.connection()
    if connection.dialect.name == "sqlite":
        return _freeze_lite(connection, lease, texts, now)
    values = {"texts": _rows(texts), "now": now, **lease._asdict()}
    return int(connection.execute(_FREEZE, values).scalar_one())


def accept_batch(
    session: Session, association_id: int, texts: Sequence[Taken], *, now: datetime
) -> list[Accepted]:
    """Move texts that are still claimed under their token to `submitted`; return which those are.

    The litres of the doses that they tell of are fixed from now on.
    """
    if not texts:
        return []
    connection = session.connection()
    if connection.dialect.name == "sqlite":
        return _accept_lite(connection, association_id, texts, _written(connection, now))
    values = {"texts": _rows(texts), "association_id": association_id, "now": now}
    return [Accepted._make(row) for row in connection.execute(_ACCEPT, values).all()]


def _freeze_lite(
    connection: Connection, lease: Lease, texts: Sequence[Frozen], now: datetime
) -> int:
    at, own = _written(connection, now), (lease.association_id, lease.route_id)
    run = connection.exec_driver_sql
    run(
        _LITE_FREEZE,
        [(at, item.token, item.body, item.segments, item.id) for item in texts],
    )
    ids = [item.id for item in texts]
    run(_LITE_EVENT, [(lease.association_id, key, at, "claim", "claimed") for key in ids])
    run(_LITE_ROUTE, (lease.tokens_left, at, lease.route_id))
    run(_LITE_DAY, (*own, lease.day.isoformat(), sum(item.segments for item in texts)))
    ends = _written(connection, lease.expires_at)
    return int(run(_LITE_CLAIM, (*own, ends, json.dumps({"ids": ids}))).scalar_one())


def _accept_lite(
    connection: Connection, association_id: int, texts: Sequence[Taken], at: object
) -> list[Accepted]:
    run = connection.exec_driver_sql
    rows = run(_LITE_CLAIMED, (json.dumps(texts), association_id)).all()
    held = {(key, token): bool(heard) for key, token, heard in rows}
    taken = [item for item in texts if (item.id, item.token) in held]
    if not taken:
        return []
    run(_LITE_ACCEPT, [(at, item.gateway_id, item.id) for item in taken])
    run(_LITE_EVENT, [(association_id, item.id, at, "accept", "submitted") for item in taken])
    run(_LITE_TOLD, [(association_id, item.id) for item in taken])
    return [Accepted(id=item.id, heard=held[item.id, item.token]) for item in taken]


def _rows(texts: Sequence[Frozen] | Sequence[Taken]) -> str:
    return json.dumps([item._asdict() for item in texts])


def _written(connection: Connection, at: datetime) -> object:
    """Return an instant as the database's column keeps it."""
    write = _INSTANT.dialect_impl(connection.dialect).bind_processor(connection.dialect)
    return at if write is None else write(at)
