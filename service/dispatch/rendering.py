"""Turns a queued row into its text, once, when it is claimed."""

from collections.abc import Callable, Mapping

from service.messages.catalogue import Catalogue
from service.messages.render import render
from service.outbox.due import Due
from service.planning.drafts import reader_of
from service.records.traffic import MessageRow


def renderer(catalogue: Catalogue, fallback: str) -> Callable[[Due | MessageRow], str]:
    """Return what turns a queued row into its text."""

    def of_row(row: Due | MessageRow) -> str:
        fields: Mapping[str, object] = row.fields
        values = fields.get("values")
        reader = reader_of(row.language, fallback, fields=fields)
        known = values if isinstance(values, dict) else {}
        return render(catalogue, row.kind, known, reader=reader).text

    return of_row
