"""Instants are UTC and aware; enumerations are stored by value, and only their values."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError, StatementError

from service.records.engine import Sessions
from service.records.fields import DoseRow, DoseState
from service.records.people import AssociationRow, PhoneRow
from tests.unit.outbox.queue import two_tenants

DAR = ZoneInfo("Africa/Dar_es_Salaam")


def test_a_naive_instant_is_refused(sessions: Sessions) -> None:
    two_tenants(sessions)

    with pytest.raises(StatementError, match="give it its zone"), sessions.begin() as session:
        session.get_one(PhoneRow, 1).muted_until = datetime.fromisoformat("2027-03-14T18:00")


def test_an_instant_of_any_zone_is_stored_in_utc_and_comes_back_aware(sessions: Sessions) -> None:
    two_tenants(sessions)

    with sessions.begin() as session:
        session.get_one(PhoneRow, 1).muted_until = datetime(2027, 3, 14, 18, 0, tzinfo=DAR)
    with sessions.read() as session:
        stored = session.execute(text("SELECT muted_until FROM phone WHERE id = 1")).scalar_one()
        back = session.get_one(PhoneRow, 1).muted_until

    assert str(stored).startswith("2027-03-14 15:00:00")
    assert back == datetime(2027, 3, 14, 15, 0, tzinfo=UTC)
    assert back is not None
    assert back.tzinfo is UTC


def test_no_instant_stays_none(sessions: Sessions) -> None:
    two_tenants(sessions)

    with sessions.read() as session:
        assert session.get_one(PhoneRow, 1).muted_until is None


def test_an_enumeration_is_stored_by_its_value(sessions: Sessions) -> None:
    two_tenants(sessions)

    with sessions.begin() as session:
        session.get_one(DoseRow, 1).state = DoseState.NOT_DONE
    with sessions.read() as session:
        stored = session.execute(text("SELECT state FROM dose WHERE id = 1")).scalar_one()

    assert stored == "not-done"


@pytest.mark.parametrize("value", ["NOT_DONE", "eaten", ""])
def test_the_table_itself_refuses_what_is_no_value(sessions: Sessions, value: str) -> None:
    two_tenants(sessions)

    with pytest.raises(IntegrityError, match=r"(?i)check constraint"), sessions.begin() as session:
        session.execute(text("UPDATE dose SET state = :value"), {"value": value})


def test_an_association_has_a_code_of_its_own(sessions: Sessions) -> None:
    two_tenants(sessions)

    with pytest.raises(IntegrityError, match=r"(?i)unique constraint"), sessions.begin() as session:
        session.get_one(AssociationRow, 2).code = "a1"
