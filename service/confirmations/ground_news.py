"""News of the ground, and of who eats its crop: corrected with an audit row, and planned anew."""

from collections.abc import Collection, Mapping

from service.agronomy.regimes import Regime
from service.agronomy.rules import rules
from service.agronomy.season import Soil
from service.confirmations.household_plans import plans_after, plans_before
from service.confirmations.outcomes import Desk, NeedsReading
from service.confirmations.staff_outcomes import (
    AreaCorrected,
    EatersSet,
    SiteDecided,
    SiteTold,
    SiteWithdrawn,
    SoilCorrected,
)
from service.records.enrolment import plantings_on_plot, plot_by_id
from service.records.fields import PlotRow
from service.records.people import AuditRow
from service.records.plantings import planting_bundle
from service.records.site import Hazard, hazards_of, kept_hazards
from service.records.tasks import SITE_DECIDED, Task, audit, close_about_planting, open_task
from service.records.traffic import TaskKind


def correct_area(
    desk: Desk, plot_id: int, *, area_m2: float, measured: str
) -> AreaCorrected | NeedsReading:
    """Give a plot its right area in square metres; `measured` says how it was told."""
    if not rules().least_area_m2 <= area_m2 <= rules().most_area_m2:
        return NeedsReading(hint="no such area")
    plot = plot_by_id(desk.session, desk.association_id, plot_id)
    before_m2, before = plot.area_m2, plans_before(desk, plot.household_id)
    plot.area_m2, plot.measured = area_m2, measured
    _write_down(desk, "area corrected", plot, before=before_m2, after=area_m2)
    return AreaCorrected(before_m2=before_m2, after_m2=area_m2, plans=plans_after(desk, before))


def correct_soil(desk: Desk, plot_id: int, soil: Soil) -> SoilCorrected:
    """Note whether a plot's soil is salty, dry or neither; a salty or dry one bears half."""
    plot = plot_by_id(desk.session, desk.association_id, plot_id)
    known, before = plot.soil, plans_before(desk, plot.household_id)
    plot.soil = soil
    _write_down(desk, "soil corrected", plot, before=known.value, after=soil.value)
    return SoilCorrected(soil=soil, plans=plans_after(desk, before))


def tell_site(desk: Desk, plot_id: int, hazards: Collection[Hazard]) -> SiteTold:
    """Note what is risky about a plot's ground; a decision made on other risks does not stand."""
    plot = plot_by_id(desk.session, desk.association_id, plot_id)
    known, kept = plot.hazards, kept_hazards(hazards)
    before = plans_before(desk, plot.household_id)
    plot.hazards = kept
    if kept != known:
        _forget_decision(plot)
    _write_down(desk, "site told", plot, before=known, after=kept)
    if not hazards:
        _close_site_tasks(desk, plot)
    return SiteTold(hazards=hazards_of(plot) or (), plans=plans_after(desk, before))


def decide_site(desk: Desk, plot_id: int, *, why: str) -> SiteDecided | NeedsReading:
    """Record that a plot may be used in spite of its ground: by whom, why and when.

    A decision that stands already stays as it is, with its own reason.
    """
    plot = plot_by_id(desk.session, desk.association_id, plot_id)
    if not plot.hazards:
        return NeedsReading(hint="nothing to decide about the ground")
    if not why.strip():
        return NeedsReading(hint="a decision without a reason")
    before = plans_before(desk, plot.household_id)
    if plot.site_ok_at is None:
        plot.site_ok_by, plot.site_ok_why = desk.noted_by or "", why.strip()
        plot.site_ok_at = desk.now
        _write_down(desk, "site decided", plot, before=plot.hazards, after="may be used")
        _close_site_tasks(desk, plot)
    return SiteDecided(plans=plans_after(desk, before))


def withdraw_site(desk: Desk, plot_id: int) -> SiteWithdrawn | NeedsReading:
    """Take a decision back: nothing is given on that ground until there is another."""
    plot = plot_by_id(desk.session, desk.association_id, plot_id)
    if plot.site_ok_at is None:
        return NeedsReading(hint="no decision to take back")
    before = plans_before(desk, plot.household_id)
    _forget_decision(plot)
    _write_down(desk, "site withdrawn", plot, before="may be used", after=plot.hazards)
    for planting in plantings_on_plot(desk.session, desk.association_id, plot.id):
        if planting.closed_on is not None:
            continue
        # the task opened before the decision has its key, and is closed
        task = Task(
            kind=TaskKind.SITE,
            key=f"{planting.id}:{plot.hazards}:{desk.now.isoformat()}",
            household_id=plot.household_id,
            planting_id=planting.id,
        )
        open_task(desk.session, desk.association_id, task, now=desk.now)
    return SiteWithdrawn(plans=plans_after(desk, before))


def set_eaters(desk: Desk, planting_id: int, regime: Regime | None) -> EatersSet | NeedsReading:
    """Note who eats a planting's crop; None: as in the whole household."""
    bundle = planting_bundle(desk.session, desk.association_id, planting_id)
    planting = bundle.planting
    if planting.closed_on is not None:
        return NeedsReading(hint="the planting is over")
    known, before = planting.regime, plans_before(desk, bundle.household.id)
    planting.regime = regime
    _audit(
        desk,
        "eaters set",
        ("planting", planting.id),
        {
            "before": None if known is None else known.value,
            "after": None if regime is None else regime.value,
        },
    )
    return EatersSet(regime=regime, plans=plans_after(desk, before))


def _forget_decision(plot: PlotRow) -> None:
    plot.site_ok_by = plot.site_ok_why = plot.site_ok_at = None


def _close_site_tasks(desk: Desk, plot: PlotRow) -> None:
    for planting in plantings_on_plot(desk.session, desk.association_id, plot.id):
        close_about_planting(
            desk.session,
            desk.association_id,
            planting.id,
            kinds=(TaskKind.SITE,),
            outcome=SITE_DECIDED,
            now=desk.now,
        )


def _write_down(desk: Desk, what: str, plot: PlotRow, *, before: object, after: object) -> None:
    _audit(desk, what, ("plot", plot.id), {"before": before, "after": after})


def _audit(desk: Desk, what: str, subject: tuple[str, int], detail: Mapping[str, object]) -> None:
    if detail["before"] == detail["after"]:
        return  # nothing has changed, and the same answer told twice is no news
    entry = AuditRow(
        at=desk.now,
        who=desk.noted_by or "",
        what=what,
        subject=subject[0],
        subject_id=subject[1],
        origin=desk.source.value,
        detail=dict(detail),
    )
    audit(desk.session, desk.association_id, entry)
