"""Why a plan says what it says: chains of rules, each with the values that redo its arithmetic.

A reason without an origin is a fact that somebody told. The last step of a chain ends in the
value that the plan shows: `on` for a day, `litres` for urine, `water_litres` for water.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.tables import Origin

Value = date | int | float | str
Values = Mapping[str, Value]


class About(StrEnum):
    """What is asked about."""

    PLANTED = "planted"
    EMERGENCE = "emergence"
    SEASON = "season"
    FIRST_HARVEST = "first-harvest"
    CUTOFF = "cutoff"
    HARVEST = "harvest"
    AREA = "area"
    TARGET = "target"
    CAP = "cap"
    SHORTFALL = "shortfall"
    PLANTS = "plants"
    DOSE_DAY = "dose-day"
    DOSE_CLOSES = "dose-closes"
    DOSE_DROP = "dose-drop"
    DOSE_AMOUNT = "dose-amount"
    DOSE_WATER = "dose-water"
    DOSE_PLANT = "dose-plant"
    TOTAL_URINE = "total-urine"
    TOTAL_WATER = "total-water"
    SPREAD = "spread"
    NITROGEN = "nitrogen"
    CAN_REST = "can-rest"
    CAN_READY = "can-ready"
    CAUTION = "caution"


class RuleId(StrEnum):
    """Each rule that a day or an amount may follow from."""

    PLANTED_TOLD = "planted-told"
    PLANTED_ENTERED = "planted-entered"
    EMERGED_TOLD = "emerged-told"
    EMERGED_NOT_BEFORE = "emerged-not-before-planting"
    EMERGENCE_ASSUMED = "emergence-assumed"
    EMERGENCE_ASSUMED_PLANTED_OUT = "emergence-assumed-planted-out"
    SEASON_USUAL = "season-usual"
    SEASON_ENTERED = "season-entered"
    HARVEST_ENTERED = "first-harvest-entered"
    HARVEST_AT_END = "first-harvest-at-end"
    HARVEST_PICKED = "first-harvest-picked"
    HARVEST_NOT_AFTER_END = "first-harvest-not-after-end"
    PICKING_MONTH = "picking-month"
    CUTOFF_BEARS_ON = "cutoff-bears-on"
    CUTOFF_SHARE = "cutoff-share"
    CUTOFF_MONTH = "cutoff-month"
    CUTOFF_SHARE_BINDS = "cutoff-share-binds"
    CUTOFF_MONTH_BINDS = "cutoff-month-binds"

    DOSE_AT_PLANTING = "dose-at-planting"
    AFTER_EMERGENCE = "after-emergence"
    AFTER_ASSUMED_EMERGENCE = "after-assumed-emergence"
    IN_RAINS = "in-rains"
    GIVEN = "given"
    KEEPS_DAY = "keeps-day"
    GAP = "gap"
    HOLD = "hold"
    AVOIDED = "avoided"
    AVOIDED_KEPT = "avoided-kept"
    WINDOW = "window"
    BEFORE_NEXT = "before-next"
    UP_TO_CUTOFF = "up-to-cutoff"
    OWN_DAY_ONLY = "own-day-only"

    PAST_CUTOFF = "past-cutoff"
    HELD_PAST_CUTOFF = "held-past-cutoff"
    HELD_TOO_NEAR = "held-too-near"
    NO_CAN_READY = "no-can-ready"
    NO_PLANTING_DOSE = "no-planting-dose"
    SITE = "site"

    AREA_TOLD = "area-told"
    AREA_USUAL = "area-usual"
    LITRES_USUAL = "litres-usual"
    LITRES_ENTERED = "litres-entered"
    NITROGEN_TARGET = "nitrogen-target"
    NITROGEN_CONTENT = "nitrogen-content"
    LITRES_FROM_NITROGEN = "litres-from-nitrogen"
    POOR_SOIL = "poor-soil"
    OVER_WARNING = "over-warning"
    ON_AREA = "on-area"
    DOSE_CAP = "dose-cap"
    TOLD_STAYS = "told-stays"
    EQUAL_SHARE = "equal-share"
    CAPPED = "capped"
    ROUNDED_DOWN = "rounded-down"
    DROPPED_TAKES_NOTHING = "dropped-takes-nothing"
    NO_DOSE_LEFT = "no-dose-left"
    CAP_LEAVES_OVER = "cap-leaves-over"
    ROUNDING_LEAVES_OVER = "rounding-leaves-over"
    TOLD_LEAVES_OVER = "told-leaves-over"
    LEFT_OVER = "left-over"

    IN_SPAN = "in-span"
    SEASON_TOLD = "season-told"
    SEASON_ASSUMED = "season-assumed"
    WATER_RAINS = "water-rains"
    WATER_DRY = "water-dry"
    WATER_CHOSEN = "water-chosen"
    WATER_RAISED = "water-raised"
    WATER = "water"

    SPACING = "spacing"
    PLANTS = "plants"
    PLANT_SHARE = "plant-share"
    SUM_URINE = "sum-urine"
    SUM_WATER = "sum-water"
    SPREAD = "spread"
    NITROGEN_CARRIED = "nitrogen-carried"
    NITROGEN_BAND = "nitrogen-band"

    LAST_GIVEN = "last-given"
    LAST_PERHAPS = "last-perhaps-given"
    LAST_PLANNED = "last-planned"
    MONTH_AFTER = "month-after"
    MONTH_AFTER_PLANNED = "month-after-planned"
    LATER_BY_NOW = "later-by-now"

    REGIME_TOLD = "regime-told"
    REGIME_ASSUMED = "regime-assumed"
    REST_DAYS = "rest-days"
    RESTS = "rests"
    LONGER_REST = "longer-rest"
    WARM_STORE = "warm-store"
    STORE_UNKNOWN = "store-unknown"
    COLD_STORE = "cold-store"

    TOLD_FIRST = "told-first"
    DUE_FIRST = "due-first"
    YOUNGER_FIRST = "younger-first"
    FROM_CAN = "from-can"
    FROM_EXPECTED_CAN = "from-expected-can"
    ENOUGH = "enough"
    SHORT = "short"

    CAUTION = "caution"


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What is asked about; `number` is a dose's, or a container's."""

    about: About
    number: int | None = None

    @property
    def key(self) -> str:
        """The subject in one word, such as `dose-3-day`."""
        if self.number is None:
            return self.about.value
        thing, dash, part = self.about.partition("-")
        return f"{thing}-{self.number}{dash}{part}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One step: a rule, the values it was applied to, and where it comes from (None: told)."""

    rule: RuleId
    values: Values
    origin: Origin | None


Chain = tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """A chain of reasons for each subject, in the order of the plan."""

    chains: Mapping[Subject, Chain]

    def of(self, about: About, number: int | None = None) -> Chain:
        """Return the chain of a subject, nothing where the plan does not show it."""
        return self.chains.get(Subject(about=about, number=number), ())

    def steps(self) -> Iterator[tuple[Subject, Reason]]:
        """Yield every step with its subject, in order."""
        for subject, chain in self.chains.items():
            for reason in chain:
                yield subject, reason


def told(rule: RuleId, **values: Value) -> Reason:
    """Return a fact that somebody told."""
    return Reason(rule=rule, values=values, origin=None)


def by_rule(rule: RuleId, origin: Origin, **values: Value) -> Reason:
    """Return a step that a rule makes."""
    return Reason(rule=rule, values=values, origin=origin)
