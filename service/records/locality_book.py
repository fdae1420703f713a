"""What holds for the areas of an association now: holds, rains, store temperatures, figures."""

from dataclasses import dataclass

from sqlalchemy import select

from service.agronomy.local import LocalKey, LocalValue
from service.agronomy.season import Soil
from service.agronomy.watering import SeasonSpan
from service.records.engine import Session
from service.records.localities import AreaHoldRow, LocalValueRow, SeasonSpanRow
from service.records.people import AreaRow, AssociationRow


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalityBook:
    """Everything that is not withdrawn, in the order it was entered."""

    holds: tuple[AreaHoldRow, ...]
    spans: tuple[SeasonSpanRow, ...]
    values: tuple[LocalValue, ...]
    store_c: dict[int, float | None]  # by area, the association's where it has none of its own

    def holds_in(self, area_id: int) -> tuple[AreaHoldRow, ...]:
        """Return the holds of an area, those for every area among them."""
        return tuple(hold for hold in self.holds if hold.area_id in (None, area_id))

    def spans_in(self, area_id: int) -> tuple[SeasonSpan, ...]:
        """Return the seasons of an area, the last one standing."""
        return tuple(
            SeasonSpan(season=span.season, first_on=span.first_on, last_on=span.last_on)
            for span in self.spans
            if span.area_id in (None, area_id)
        )


def locality_book(session: Session, association_id: int) -> LocalityBook:
    """Return what holds now in each area."""
    row = session.get_one(AssociationRow, association_id)
    # read to its end at once: SQLite's connection would keep an open one through a failed look
    areas = session.scalars(select(AreaRow).where(AreaRow.association_id == association_id)).all()
    return LocalityBook(
        holds=tuple(
            session.scalars(
                select(AreaHoldRow)
                .where(
                    AreaHoldRow.association_id == association_id,
                    AreaHoldRow.withdrawn_at.is_(None),
                )
                .order_by(AreaHoldRow.id)
            )
        ),
        spans=tuple(
            session.scalars(
                select(SeasonSpanRow)
                .where(
                    SeasonSpanRow.association_id == association_id,
                    SeasonSpanRow.withdrawn_at.is_(None),
                )
                .order_by(SeasonSpanRow.id)
            )
        ),
        values=tuple(
            LocalValue(
                key=LocalKey(value.key),
                value=value.value,
                source=value.source,
                area_id=value.area_id,
                crop=value.crop,
                soil=None if value.soil is None else Soil(value.soil),
            )
            for value in session.scalars(
                select(LocalValueRow)
                .where(
                    LocalValueRow.association_id == association_id,
                    LocalValueRow.withdrawn_at.is_(None),
                )
                .order_by(LocalValueRow.id)
            )
        ),
        store_c={area.id: row.store_c if area.store_c is None else area.store_c for area in areas},
    )
