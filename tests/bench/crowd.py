"""An association of any number of homes, and texts in its queue, made inside the database.

Each home has a phone that has agreed to texts, a plot, a planting and a dose, and a text is the
reminder of that dose: what sends it has to ask all that it asks in life.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from sqlalchemy import Engine

from service.agronomy.calendar import add_days
from service.clock import system_clock

ASSOCIATION = ROUTE = 1
RATE = 1e6  # what is measured is not the route's pace
MADE_AT = datetime(2027, 2, 20, 6, 0, tzinfo=UTC)
DUE = timedelta(hours=1)  # so long ago the first text was due
LASTS = timedelta(hours=12)
SPREAD = timedelta(minutes=10)
INSTANTS = 20  # homes choose their own minute, so the texts of an evening come due in groups
CROPS = ("maize-grain", "sorghum", "tomato", "kale", "onion")
LETTERS = "ABCDEFGH"
_VALUES = """'{"values": {"crop": "' || CASE i % 5 WHEN 0 THEN 'maize-grain' WHEN 1 THEN 'sorghum'
    WHEN 2 THEN 'tomato' WHEN 3 THEN 'kale' ELSE 'onion' END
  || '", "plot": "' || substr('ABCDEFGH', 1 + i % 8, 1)
  || '", "urine": ' || ((1 + i % 397) / 4.0) || ', "water": ' || ((1 + i % 193) / 2.0)
  || ', "code": "' || substr('ABCDEFGH', 1 + i % 8, 1) || (1 + i % 7)
  || '", "can": null, "day": "2027-03-15", "per": {"cups": 1, "plants": ' || (2 + i % 3)
  || '}, "tip": ' || (1 + i % 7) || '}, "shared": false, "discreet": false, "what": null}'"""
_NUMBERS = (
    " WITH RECURSIVE n(i) AS (SELECT {first} UNION ALL SELECT i + 1 FROM n WHERE i < {last}) "
)
_HOMES = (
    """INSERT INTO household (id, association_id, area_id, code, alias, label, adults, children,
         regime, language, discreet, remind_minute, needs_call, cup_ml, collected_share,
         recorded_at)
       SELECT i, 1, 1, 'H' || i, 'H' || i, 'H', 2, 1, 'general', 'en', false, 1080, false, 250,
         1.0, '{at}' FROM n""",
    """INSERT INTO phone (id, association_id, number, typed, language, recorded_at)
       SELECT i, 1, '+255' || (100000000 + i), '', 'en', '{at}' FROM n""",
    """INSERT INTO household_phone (id, association_id, household_id, phone_id)
       SELECT i, 1, i, i FROM n""",
    """INSERT INTO consent_event (id, association_id, phone_id, household_id, kind, "on", asked_by,
         wording, key, recorded_at)
       SELECT 2 * i - 1, 1, i, i, 'verbal', '{on}', 'x', '', 'asked:' || i, '{at}' FROM n""",
    """INSERT INTO consent_event (id, association_id, phone_id, household_id, kind, "on", asked_by,
         wording, key, recorded_at)
       SELECT 2 * i, 1, i, NULL, 'given', '{on}', 'x', '', 'given:' || i, '{at}' FROM n""",
    """INSERT INTO plot (id, association_id, household_id, code, letter, area_m2, soil, measured,
         recorded_at)
       SELECT i, 1, i, 'P1', 'A', 100.0, 'normal', '', '{at}' FROM n""",
    """INSERT INTO planting (id, association_id, plot_id, code, crop, planted_on, season, drained,
         recorded_at)
       SELECT i, 1, i, 'S1', 'maize-grain', '{on}', 'rains', true, '{at}' FROM n""",
    """INSERT INTO dose (id, association_id, planting_id, number, due_on, closes_on, urine_l,
         water_l, short_l, revision, state, told)
       SELECT i, 1, i, 1, '{on}', '{on}', 2.5, 5.0, 0.0, 1, 'planned', false FROM n""",
)
_TEXTS = """INSERT INTO message (id, association_id, route_id, phone_id, number, kind, evening,
    due_at, expires_at, dedupe_key, language, fields, state, tries, changed_at)
  SELECT {after} + i, 1, 1, i, '+255' || (100000000 + i), 'dose', '{evening}', '{due}',
    '{expires}', 'jobs:' || i || ':{evening}', CASE WHEN i % 3 = 0 THEN 'sw' ELSE 'en' END,
    {fields}, '{state}', 0, '{due}' FROM n"""
_LINKS = """INSERT INTO message_dose (id, association_id, message_id, dose_id, revision, due_on)
  SELECT {after} + i, 1, {after} + i, i, 1, '{evening}' FROM n"""
_FIRST = (
    """INSERT INTO association (id, code, name, zone, country, language, phone, cost, store_c,
         recorded_at)
       VALUES (1, 'crowd', 'Made Up', 'Africa/Dar_es_Salaam', 'TZ', 'en', '+255100000090', 'free',
         24, '{at}')""",
    "INSERT INTO area (id, association_id, code, name) VALUES (1, 1, 'N', 'North')",
    """INSERT INTO route (id, association_id, name, adapter, sender, rate_per_s, tokens, tokens_at)
       VALUES (1, 1, 'main', 'fake', '15050', {rate}, {rate}, '{at}')""",
)
_TASKS = """INSERT INTO call_task (association_id, household_id, phone_id, dose_id, kind, key,
    opened_at, tries)
  SELECT 1, i, i, i, 'silent', 'silent:' || i, '{at}', 0 FROM n"""
_SERIAL = "SELECT setval(pg_get_serial_sequence('{0}', 'id'), (SELECT max(id) FROM {0}))"


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts:
    """Texts of one evening, one a home from the first home on; their ids follow `after`."""

    count: int
    after: int = 0
    evening: date
    due_at: datetime
    state: str = "queued"
    spread: timedelta = SPREAD


def due_texts(count: int, homes: int) -> list[Texts]:
    """Return so many texts that are due now, the last evening's in front; one a home and evening.

    Of several evenings the older come due first, and all lie within the hour before now.
    """
    now = system_clock()
    evenings = -(-count // homes)
    made = []
    for turn in range(evenings):
        after = turn * homes
        made.append(
            Texts(
                count=min(homes, count - after),
                after=after,
                evening=add_days(now.date(), turn + 1 - evenings),
                due_at=now - DUE + SPREAD * turn / evenings,
                spread=SPREAD / evenings,
            )
        )
    return made


def settle_homes(engine: Engine, homes: int) -> None:
    """Store the association, its route and so many homes, each with the id of its place."""
    words = {"at": _instant(engine, MADE_AT), "on": MADE_AT.date(), "rate": RATE}
    steps = [step.format(**words) for step in _FIRST]
    steps += [_counted(step, 1, homes, **words) for step in _HOMES]
    _run(engine, steps, tables=("household", "phone", "consent_event", "dose"))


def queue_texts(engine: Engine, *many: Texts) -> None:
    """Store texts in the order in which they are due."""
    for texts in many:
        words = {"after": texts.after, "evening": texts.evening, "state": texts.state}
        steps = []
        each = -(-texts.count // INSTANTS)
        for turn, first in enumerate(range(1, texts.count + 1, each)):
            due_at = texts.due_at + texts.spread * turn / INSTANTS
            when = {
                "due": _instant(engine, due_at),
                "expires": _instant(engine, due_at + LASTS),
                "fields": _json(engine),
            }
            last = min(first + each - 1, texts.count)
            steps.append(_counted(_TEXTS, first, last, **words, **when))
        steps.append(_counted(_LINKS, 1, texts.count, **words))
        _run(engine, steps, tables=("message", "message_dose"))


def open_tasks(engine: Engine, count: int) -> None:
    """Open a call for each of the first homes, since nobody has said that the dose is done."""
    words = {"at": _instant(engine, MADE_AT)}
    _run(engine, [_counted(_TASKS, 1, count, **words)], tables=())


def _counted(step: str, first: int, last: int, **words: object) -> str:
    head, tail = step.split("SELECT", maxsplit=1)
    numbers = _NUMBERS.format(first=first, last=last)
    return f"{head.format(**words)}{numbers}SELECT{tail.format(**words)}"


def values_of(number: int) -> dict[str, object]:
    """Return what a home's text tells; hardly two homes are told the same."""
    letter = LETTERS[number % 8]
    return {
        "crop": CROPS[number % 5],
        "plot": letter,
        "urine": (1 + number % 397) / 4,
        "water": (1 + number % 193) / 2,
        "code": f"{letter}{1 + number % 7}",
        "can": None,
        "day": "2027-03-15",
        "per": {"cups": 1, "plants": 2 + number % 3},
        "tip": 1 + number % 7,
    }


def _json(engine: Engine) -> str:
    return _VALUES if engine.dialect.name == "sqlite" else f"CAST({_VALUES} AS json)"


def _instant(engine: Engine, at: datetime) -> str:
    zone = "" if engine.dialect.name == "sqlite" else "+00"
    return f"{at.astimezone(UTC):%Y-%m-%d %H:%M:%S.%f}{zone}"


def _run(engine: Engine, steps: list[str], *, tables: tuple[str, ...]) -> None:
    lite = engine.dialect.name == "sqlite"
    with engine.begin() as connection:
        if not lite:  # rows refer to rows: no check
            connection.exec_driver_sql("SET LOCAL session_replication_role = replica")
        for step in steps:
            connection.exec_driver_sql(step if lite else step.replace("%", "%%"))
        for table in () if lite else tables:
            connection.exec_driver_sql(_SERIAL.format(table))
