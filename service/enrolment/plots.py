"""A plot: what may be entered of it, its letter and its row."""

from service.agronomy.buffers import buffer_warnings
from service.confirmations.outcomes import Desk
from service.enrolment.book import write_down
from service.enrolment.entries import PlotEntry
from service.enrolment.faults import Fault
from service.enrolment.ground import Area, area_of
from service.enrolment.ranges import range_fault
from service.enrolment.results import PlotAdded
from service.enrolment.signs import next_letter, next_member
from service.records.enrolment import neighbours, sign_rows
from service.records.fields import PlotRow
from service.records.intake import add
from service.records.site import hazards_of, kept_hazards


def check_plot(entry: PlotEntry) -> Area | tuple[Fault, ...]:
    """Return the plot's area, or all that is wrong with the entry."""
    area = area_of(entry.ground)
    water = range_fault("water_m", entry.water_m)
    if water is None:
        return area
    return (water,) if isinstance(area, Area) else (*area, water)


def save_plot(desk: Desk, household_id: int, entry: PlotEntry, area: Area) -> PlotAdded:
    """Add a plot with the first letter that nobody on the household's phones has."""
    near = neighbours(desk.session, desk.association_id, household_id)
    signs = sign_rows(desk.session, desk.association_id, near | {household_id})
    own = {plot.code for plot in signs.plots if plot.household_id == household_id}
    row = PlotRow(
        association_id=desk.association_id,
        household_id=household_id,
        code=next_member("P", own),
        letter=next_letter({plot.letter for plot in signs.plots}),
        area_m2=area.m2,
        soil=entry.soil,
        measured=area.measured,
        texture=entry.texture,
        water_kind=entry.water_kind,
        water_m=entry.water_m,
        hazards=kept_hazards(entry.hazards),
        recorded_at=desk.now,
    )
    add(desk.session, row)
    write_down(desk, "enrolled", "plot", row.id, ids={"household_id": household_id})
    return PlotAdded(
        plot_id=row.id,
        code=row.code,
        letter=row.letter,
        area=area,
        warnings=buffer_warnings(entry.water_kind, entry.water_m),
        hazards=hazards_of(row) or (),
    )
