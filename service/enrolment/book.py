"""Who changed what: written down without a name, a number or a text."""

from collections.abc import Mapping

from service.confirmations.outcomes import Desk
from service.records.people import AuditRow
from service.records.tasks import audit

ORIGIN = "form"


def write_down(  # noqa: PLR0913 -- one value a column
    desk: Desk,
    what: str,
    subject: str,
    subject_id: int,
    *,
    ids: Mapping[str, int] | None = None,
    columns: tuple[str, ...] = (),
) -> None:
    """Write an audit row: `ids` of what it belongs to, `columns` that are different now."""
    detail: dict[str, object] = dict(ids or {})
    if columns:
        detail["columns"] = list(columns)
    entry = AuditRow(
        at=desk.now,
        who=desk.noted_by or "",
        what=what,
        subject=subject,
        subject_id=subject_id,
        origin=ORIGIN,
        detail=detail,
    )
    audit(desk.session, desk.association_id, entry)


def write_change(  # noqa: PLR0913 -- one value a column
    desk: Desk,
    what: str,
    subject: str,
    subject_id: int,
    *,
    before: Mapping[str, object] | None,
    after: Mapping[str, object] | None,
    more: Mapping[str, object] | None = None,
) -> None:
    """Write an audit row with the figures before and after, None where nothing stood."""
    entry = AuditRow(
        at=desk.now,
        who=desk.noted_by or "",
        what=what,
        subject=subject,
        subject_id=subject_id,
        origin=ORIGIN,
        detail={"before": before, "after": after, **(more or {})},
    )
    audit(desk.session, desk.association_id, entry)
