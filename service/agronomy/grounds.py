"""What a plan is explained from: its facts, itself, and what its facts do not say."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from service.agronomy.calendar import add_days
from service.agronomy.dose_days import pattern_days
from service.agronomy.dosing import Season
from service.agronomy.local import LocalFigures
from service.agronomy.perennial import perennial_pattern
from service.agronomy.rules import rules
from service.agronomy.season import SeasonFacts
from service.agronomy.season_plan import PlannedDose, SeasonPlan
from service.agronomy.tables import Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number and where it comes from; no origin where somebody told it."""

    value: float
    origin: Origin | None


def _usual_content() -> Figure:
    return Figure(value=rules().usual_g_per_litre, origin=rules().origins["nitrogen"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Grounds:
    """Who told what: the facts of a plan hold its figures, not where they were had.

    Attributes:
        sown_told: somebody told that it was sown; else the day was entered beforehand.
        area_told: False where the usual area was taken because none was given.
        n_kg_per_ha: the nitrogen target that the litres follow from, if they do.
        n_g_per_litre: the nitrogen content that they follow from.
        pattern: where the days of the pattern come from.
        season: the season of the whole planting where one was given or taken.
        season_told: False where that season was taken because none was given.
    """

    sown_told: bool = False
    area_told: bool = True
    n_kg_per_ha: Figure | None = None
    n_g_per_litre: Figure = field(default_factory=_usual_content)
    pattern: Origin = field(default_factory=lambda: rules().origins["pattern"])
    season: Season | None = None
    season_told: bool = True


def local_grounds(figures: LocalFigures, *, sown_told: bool, season: Season) -> Grounds:
    """Return the grounds of a planting that is planned with these figures.

    Args:
        figures: the figures that hold where it stands.
        sown_told: somebody told that it was sown.
        season: the season entered for it, which holds on days that no other season is told for.
    """
    target = figures.n_kg_per_ha
    return Grounds(
        sown_told=sown_told,
        n_kg_per_ha=None if target is None else Figure(value=target, origin=figures.amount_origin),
        n_g_per_litre=Figure(value=figures.n_g_per_litre, origin=figures.nitrogen_origin),
        pattern=figures.pattern_origin,
        season=season,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A plan to be explained."""

    facts: SeasonFacts
    plan: SeasonPlan
    grounds: Grounds

    @property
    def transplanted(self) -> bool:
        """Whether the season counts from planting out, so that nothing has to come up."""
        chosen = self.facts.transplanted
        return self.facts.crop.transplanted if chosen is None else chosen

    @property
    def ends_on(self) -> date:
        """The season's last day."""
        return add_days(self.facts.planted_on, self.plan.season_days)

    @property
    def pattern(self) -> Mapping[int, date]:
        """The days of the pattern, by dose number."""
        facts = self.facts
        if facts.crop.perennial:
            return perennial_pattern(
                facts.spans,
                first_on=facts.planted_on,
                last_on=self.ends_on,
                pick_on=facts.first_harvest_on,
            )
        return pattern_days(
            facts.planted_on,
            self.plan.emergence_on,
            after_emergence_days=facts.after_emergence_days,
        )

    def rain_before(self, day: date) -> date:
        """Return the first day of the rains that a day lies in; spells that touch are one."""
        first_on = day
        rains = [span for span in self.facts.spans if span.season is Season.RAINS]
        while True:
            touching = [
                span.first_on
                for span in rains
                if span.first_on < first_on <= add_days(span.last_on, 1)
            ]
            if not touching:
                return first_on
            first_on = min(touching)

    @property
    def closed(self) -> Mapping[int, date]:
        """The days of doses whose window closed without a report of use."""
        facts = self.facts
        return {n: on for n, on in facts.missed.items() if n not in facts.not_ready}

    def before(self, number: int) -> list[PlannedDose]:
        """Return the doses of the plan with a lower number."""
        return [dose for dose in self.plan.doses if dose.number < number]

    def after(self, number: int) -> list[PlannedDose]:
        """Return the doses of the plan with a higher number."""
        return [dose for dose in self.plan.doses if dose.number > number]
