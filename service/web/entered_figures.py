"""The reasons of a planting, each local figure among them with who of the staff entered it.

A written source does not tell two figures apart, so while the reasons are worked out each figure
has the id of its row in the place of its source.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from service.agronomy.explain import explain
from service.agronomy.grounds import local_grounds
from service.agronomy.reasons import Explanation, Reason
from service.agronomy.tables import Found, Origin
from service.confirmations.plot_state import PlotState
from service.planning.season_facts import figures_of, season_facts
from service.records.engine import Session
from service.records.localities import LocalValueRow
from service.records.locality_lists import local_values, value_of
from service.records.plantings import PlantingBundle


@dataclass(frozen=True, slots=True, kw_only=True)
class EnteredOrigin(Origin):
    """Where a local figure comes from, and who of the staff entered it."""

    noted_by: str


def explained(session: Session, state: PlotState) -> Explanation:
    """Return why a planting's plan says what it says."""
    bundle = state.bundle
    rows: dict[str, LocalValueRow] = {}
    if bundle.book.values:
        known = local_values(session, bundle.planting.association_id)
        rows = {str(row.id): row for row in sorted(known, key=lambda row: row.id)}
        bundle = _by_id(bundle, rows)
    grounds = local_grounds(
        figures_of(bundle), sown_told=state.reports.sown_told, season=bundle.planting.season
    )
    why = explain(season_facts(bundle), state.plan, grounds)
    return Explanation(
        chains={subject: tuple(_named(chain, rows)) for subject, chain in why.chains.items()}
    )


def _by_id(bundle: PlantingBundle, rows: Mapping[str, LocalValueRow]) -> PlantingBundle:
    values = tuple(replace(value_of(row), source=name) for name, row in rows.items())
    return replace(bundle, book=replace(bundle.book, values=values))


def _named(chain: Iterable[Reason], rows: Mapping[str, LocalValueRow]) -> Iterable[Reason]:
    for reason in chain:
        origin = reason.origin
        if origin is None or origin.found is not Found.LOCAL:
            yield reason
        else:
            row = rows[origin.source]
            own = EnteredOrigin(source=row.source, found=origin.found, noted_by=row.noted_by)
            yield replace(reason, origin=own)
