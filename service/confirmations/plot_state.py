"""A planting as a report finds it, and the appending of a fact to it."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.season import plan_season
from service.agronomy.season_plan import SeasonPlan
from service.confirmations.outcomes import Desk
from service.planning.allotting import Planned
from service.planning.board import harvest_from
from service.planning.cans import cans_by_household
from service.planning.refresh import refresh_household
from service.planning.season_facts import Reports, read_facts, season_facts
from service.planning.stock import Can
from service.records.fields import DoseRow, DoseState, FactKind, Flag, PlantingFactRow
from service.records.plantings import PlantingBundle, planting_bundle
from service.records.tasks import Task, open_task
from service.records.traffic import TaskKind


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotState:
    """A planting, what its facts say, its plan, and the household's containers."""

    bundle: PlantingBundle
    reports: Reports
    plan: SeasonPlan
    cans: tuple[Can, ...]

    @property
    def letter(self) -> str:
        """The plot's key letter; a plot without one is shown as a dash."""
        return self.bundle.plot.letter or "-"

    @property
    def over(self) -> bool:
        """Say whether the crop was harvested or failed, so that nothing more is given to it."""
        return self.bundle.planting.closed_on is not None

    def doubt(self, on: date, today: date) -> str | None:
        """Return why a report of a day cannot be right, whatever it is about; or None."""
        if self.over:
            return "the planting is over"
        if on > today:
            return "future"
        return None

    def code(self, number: int) -> str:
        """Return the reply code of a dose."""
        return f"{self.letter}{number}"

    def dose(self, number: int) -> DoseRow | None:
        """Return a dose by its number."""
        return next((row for row in self.bundle.doses if row.number == number), None)

    def next_dose(self) -> DoseRow | None:
        """Return the first dose still planned."""
        return next(
            (row for row in self.bundle.doses if row.state is DoseState.PLANNED),
            None,
        )

    def later_dose(self, today: date) -> DoseRow | None:
        """Return the first dose planned for a later day."""
        return next(
            (
                row
                for row in self.bundle.doses
                if row.state is DoseState.PLANNED and row.due_on > today
            ),
            None,
        )

    def safe_harvest(self, today: date) -> date | None:
        """Return the earliest safe harvest by what is known today."""
        return harvest_from(Planned(bundle=self.bundle, plan=self.plan), today)


def look(desk: Desk, planting_id: int) -> PlotState:
    """Return a planting as it stands."""
    bundle = planting_bundle(desk.session, desk.association_id, planting_id)
    cans = cans_by_household(
        desk.session,
        desk.association_id,
        today=desk.today,
        households=(bundle.household.id,),
    )
    return PlotState(
        bundle=bundle,
        reports=read_facts(bundle),
        plan=plan_season(season_facts(bundle)),
        cans=cans.get(bundle.household.id, ()),
    )


def append_fact(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    desk: Desk,
    state: PlotState,
    kind: FactKind,
    *,
    on: date,
    number: int | None = None,
    flag: Flag | None = None,
    litres: float | None = None,
) -> PlotState:
    """Append a fact, plan anew, and return the planting as it stands then."""
    desk.session.add(
        PlantingFactRow(
            association_id=desk.association_id,
            planting_id=state.bundle.planting.id,
            kind=kind,
            dose_number=number,
            on=on,
            litres=litres,
            source=desk.source,
            noted_by=desk.noted_by,
            flag=flag,
            recorded_at=desk.now,
        )
    )
    desk.session.flush()
    return replan(desk, state)


def replan(desk: Desk, state: PlotState) -> PlotState:
    """Plan a household anew, for its plantings share its cans; return this one as it stands."""
    refresh_household(
        desk.session,
        desk.association_id,
        state.bundle.household.id,
        today=desk.today,
        now=desk.now,
    )
    return look(desk, state.bundle.planting.id)


def tell_coordinator(
    desk: Desk, state: PlotState, kind: TaskKind, *, key: str, dose_id: int | None = None
) -> None:
    """Open a task about a planting."""
    open_task(
        desk.session,
        desk.association_id,
        Task(
            kind=kind,
            key=key,
            household_id=state.bundle.household.id,
            dose_id=dose_id,
            planting_id=state.bundle.planting.id,
        ),
        now=desk.now,
    )
