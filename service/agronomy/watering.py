"""Water for the urine, by the season that a day falls in.

In the rains none unless some was chosen; in the dry season at least two parts to one (common
practice, no source). Water never changes the nitrogen.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.dosing import Season, usual_water_ratio


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonSpan:
    """Days of rains or of the dry season, both ends included."""

    season: Season
    first_on: date
    last_on: date


def season_on(day: date, spans: Sequence[SeasonSpan], *, otherwise: Season) -> Season:
    """Return the season of a day: of the last span that holds it, else `otherwise`."""
    holding = [span.season for span in spans if span.first_on <= day <= span.last_on]
    return holding[-1] if holding else otherwise


def rains_known(spans: Sequence[SeasonSpan]) -> bool:
    """Say whether any rains are known."""
    return any(span.season is Season.RAINS for span in spans)


def water_ratio(season: Season, chosen: float | None) -> float:
    """Return the parts of water to one of urine: what was chosen, never less than the season's."""
    return max(usual_water_ratio(season), chosen or 0.0)
