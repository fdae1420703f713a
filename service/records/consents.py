"""What a phone itself has said about its texts: appended, never changed."""

from datetime import date, datetime

from service.records.engine import Session
from service.records.people import Consent, ConsentEventRow


def add_consent(  # noqa: PLR0913 -- one value a column
    session: Session,
    association_id: int,
    phone_id: int,
    *,
    kind: Consent,
    key: str,
    on: date,
    now: datetime,
) -> None:
    """Append what the phone itself said."""
    session.add(
        ConsentEventRow(
            association_id=association_id,
            phone_id=phone_id,
            household_id=None,
            kind=kind,
            on=on,
            asked_by="",
            wording="",
            key=key,
            recorded_at=now,
        )
    )
    session.flush()
