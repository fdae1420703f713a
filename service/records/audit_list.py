"""What the audit holds about one kind of thing."""

from sqlalchemy import select

from service.records.engine import Session
from service.records.people import AuditRow


def audit_about(session: Session, association_id: int, *, subject: str) -> list[AuditRow]:
    """Return the audit's rows about a kind of thing, oldest first."""
    return list(
        session.scalars(
            select(AuditRow)
            .where(AuditRow.association_id == association_id, AuditRow.subject == subject)
            .order_by(AuditRow.id)
        )
    )
