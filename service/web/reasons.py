"""Why a planting's days and amounts are as they are: the rule, the numbers put in, the source."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.cautions import cautions
from service.agronomy.dosing import dose_cap
from service.agronomy.rules import rules
from service.agronomy.season import Soil, soil_share
from service.agronomy.tables import Origin
from service.confirmations.plot_state import PlotState
from service.web.planting_sheet import Reader, shortfall_litres
from service.web.sentence import Sentence, sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A planting, for whom it is explained, and the words for its crop and for what is poured."""

    state: PlotState
    reader: Reader
    crop: str
    what: str

    @property
    def sown_on(self) -> date:
        """The day that the season counts from."""
        return self.state.reports.planted_on


@dataclass(frozen=True, slots=True, kw_only=True)
class Cited:
    """A rule that stands in a section of its own, and where it comes from."""

    anchor: str
    heading: Sentence
    origin: Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One answer to "why?"; a fact that somebody told has no origin and cites nothing."""

    anchor: str
    heading: Sentence
    said: tuple[Sentence, ...]
    origins: tuple[Origin, ...] = ()
    cited: tuple[Cited, ...] = ()


PATTERN = Cited(
    anchor="pattern", heading=sentence("Days of the doses"), origin=rules().origins["pattern"]
)
TIMING = Cited(
    anchor="timing", heading=sentence("Between two doses"), origin=rules().origins["timing"]
)
SHARING = Cited(
    anchor="sharing", heading=sentence("Sharing it out"), origin=rules().origins["dose_cap"]
)
WATER = Cited(anchor="water", heading=sentence("Water"), origin=rules().origins["water"])


def month_origin() -> Origin:
    """Return where the month between the last dose and the harvest comes from."""
    return next(caution.origin for caution in cautions() if caution.id == "one-month")


def amount_reasons(asked: Asked) -> tuple[Reason, ...]:
    """Return why the season's amounts are as they are."""
    return (_total(asked), _sharing(asked), _water(asked))


def pattern_reasons() -> tuple[Reason, ...]:
    """Return the rules for the days of doses, whatever the planting."""
    days = ", ".join(str(days) for days in rules().after_emergence_days)
    return (
        Reason(
            anchor=PATTERN.anchor,
            heading=PATTERN.heading,
            said=(
                sentence(
                    "One dose with sowing or planting out, then %(days)s days after plants are up.",
                    days=days,
                ),
            ),
            origins=(PATTERN.origin,),
        ),
        Reason(
            anchor=TIMING.anchor,
            heading=TIMING.heading,
            said=(
                sentence(
                    "At least %(gap)s days lie between two doses. A dose stays open for %(window)s"
                    " days after its own, but not into the next dose and not past the last day."
                    " A dose left out is not made up.",
                    gap=rules().min_gap_days,
                    window=rules().window_days,
                ),
            ),
            origins=(TIMING.origin,),
        ),
    )


def _total(asked: Asked) -> Reason:
    planting, plot = asked.state.bundle.planting, asked.state.bundle.plot
    origins = []
    said = [
        sentence(
            "%(each)s L of %(what)s a square metre and season, for %(area)s m².",
            each=planting.litres_per_m2,
            what=asked.what,
            area=plot.area_m2,
        )
    ]
    if planting.litres_per_m2 == rules().litres_per_m2:
        origins.append(rules().origins["amount"])
    else:
        said.append(sentence("The amount for a square metre was entered for this planting."))
    if plot.soil is not Soil.NORMAL:
        share = soil_share(plot.soil)
        said.append(sentence("Salty or dry soil takes %(share)s of it.", share=share))
        origins.append(rules().origins["soil"])
    said.append(sentence("In all %(total)s L.", total=asked.state.plan.target_litres))
    return Reason(
        anchor="total",
        heading=sentence("Season's amount"),
        said=tuple(said),
        origins=tuple(origins),
    )


def _sharing(asked: Asked) -> Reason:
    said = [
        sentence(
            "What is left of the season's amount is shared equally over the doses left. One dose"
            " holds at most %(cap)s L: %(times)s times an equal share of %(doses)s doses.",
            cap=dose_cap(asked.state.plan.target_litres),
            times=rules().cap_times_equal_share,
            doses=rules().doses_in_pattern,
        ),
        sentence(
            "Amounts are rounded down to what a grower can measure: common practice, no source."
        ),
    ]
    left_over = shortfall_litres(asked.state)
    if left_over:
        said.append(
            sentence(
                "%(litres)s L find no dose: what is rounded down or does not fit is not poured.",
                litres=left_over,
            )
        )
    return Reason(
        anchor=SHARING.anchor,
        heading=SHARING.heading,
        said=tuple(said),
        origins=(SHARING.origin,),
    )


def _water(asked: Asked) -> Reason:
    ratio = asked.state.bundle.planting.water_ratio
    if ratio:
        said = sentence(
            "%(ratio)s parts of water to one, as chosen for this planting; in the dry season at"
            " least %(least)s. Water is a number of its own and changes nothing else.",
            ratio=ratio,
            least=rules().dry_least_water_ratio,
        )
    else:
        said = sentence("No water is added in the rains, unless it is chosen.")
    return Reason(anchor=WATER.anchor, heading=WATER.heading, said=(said,), origins=(WATER.origin,))
