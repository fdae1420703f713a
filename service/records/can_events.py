"""What happens to containers: appended, never changed."""

from datetime import date, datetime

from service.agronomy.containers import CanEventKind
from service.records.engine import Session
from service.records.fields import ContainerEventRow, Source


def add_can_event(  # noqa: PLR0913 -- one value a column
    session: Session,
    association_id: int,
    container_id: int,
    *,
    kind: CanEventKind,
    on: date,
    source: Source,
    now: datetime,
    noted_by: str | None = None,
) -> None:
    """Append one thing that happened to a container."""
    session.add(
        ContainerEventRow(
            association_id=association_id,
            container_id=container_id,
            kind=kind,
            on=on,
            source=source,
            noted_by=noted_by,
            recorded_at=now,
        )
    )
    session.flush()
