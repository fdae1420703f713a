"""What holds in one area, looked up once for all its plantings."""

from dataclasses import dataclass

from typing_extensions import override

from service.agronomy.watering import SeasonSpan
from service.records.localities import AreaHoldRow
from service.records.locality_book import LocalityBook


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaBook(LocalityBook):
    """A book that knows of one area only."""

    seasons: tuple[SeasonSpan, ...]

    @override
    def holds_in(self, area_id: int) -> tuple[AreaHoldRow, ...]:
        return self.holds

    @override
    def spans_in(self, area_id: int) -> tuple[SeasonSpan, ...]:
        return self.seasons


def area_book(book: LocalityBook, area_id: int) -> AreaBook:
    """Return what a book says of an area."""
    return AreaBook(
        holds=book.holds_in(area_id),
        spans=tuple(span for span in book.spans if span.area_id in (None, area_id)),
        values=tuple(value for value in book.values if value.area_id in (None, area_id)),
        store_c=book.store_c,
        seasons=book.spans_in(area_id),
    )
