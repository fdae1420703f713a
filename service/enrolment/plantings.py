"""A planting or a plan of one: what may be entered of it, and its row with its plan."""

from service.agronomy.watering import SeasonSpan
from service.confirmations.outcomes import Desk
from service.enrolment.book import write_down
from service.enrolment.entries import PlantingEntry
from service.enrolment.faults import Fault, FaultCode
from service.enrolment.planting_facts import Ground, facts_of
from service.enrolment.replanning import plan_anew
from service.enrolment.results import PlantingAdded
from service.enrolment.signs import next_member
from service.records.enrolment import plantings_on_plot
from service.records.fields import FactKind, PlantingFactRow, PlantingRow, PlotRow
from service.records.household_page import household_by_id
from service.records.intake import add
from service.records.locality_book import locality_book


def still_planted(desk: Desk, plot: PlotRow) -> tuple[Fault, ...]:
    """Return why a plot cannot be planted: another planting is open there."""
    return tuple(
        Fault(field="crop", code=FaultCode.STILL_PLANTED, values={"crop": row.crop})
        for row in plantings_on_plot(desk.session, desk.association_id, plot.id)
        if row.closed_on is None
    )


def spans_in(desk: Desk, area_id: int) -> tuple[SeasonSpan, ...]:
    """Return the seasons that are known of a part of the ward."""
    return locality_book(desk.session, desk.association_id).spans_in(area_id)


def ground_of(desk: Desk, plot: PlotRow) -> Ground:
    """Return where a plot's crops grow."""
    line = household_by_id(desk.session, desk.association_id, plot.household_id)
    return Ground(
        area_m2=plot.area_m2, soil=plot.soil, spans=spans_in(desk, line.household.area_id)
    )


def save_planting(desk: Desk, plot: PlotRow, entry: PlantingEntry) -> PlantingAdded:
    """Add a planting that was checked, and plan it at once."""
    facts = facts_of(entry, ground=ground_of(desk, plot))
    standing = plantings_on_plot(desk.session, desk.association_id, plot.id)
    row = PlantingRow(
        association_id=desk.association_id,
        plot_id=plot.id,
        code=next_member("S", {planting.code for planting in standing}),
        crop=facts.crop.id,
        planted_on=facts.planted_on,
        season=entry.season,
        water_ratio=entry.water_ratio,
        litres_per_m2=entry.litres_per_m2,
        season_days=facts.season_days,
        first_harvest_on=facts.first_harvest_on,
        regime=None,
        transplanted=facts.transplanted,
        drained=entry.drained,
        row_cm=entry.row_cm,
        plant_cm=entry.plant_cm,
        closed_on=None,
        recorded_at=desk.now,
    )
    add(desk.session, row)
    if facts.emerged_on is not None:
        fact = PlantingFactRow(
            association_id=desk.association_id,
            planting_id=row.id,
            kind=FactKind.EMERGED,
            dose_number=None,
            on=facts.emerged_on,
            source=desk.source,
            noted_by=desk.noted_by,
            flag=None,
            recorded_at=desk.now,
        )
        add(desk.session, fact)
    write_down(desk, "enrolled", "planting", row.id, ids={"plot_id": plot.id})
    plan = plan_anew(desk, plot.household_id)[row.id]
    return PlantingAdded(planting_id=row.id, code=row.code, plan=plan)
