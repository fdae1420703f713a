"""What is risky about the ground of a plot: asked once, kept in its row."""

from collections.abc import Collection
from enum import StrEnum

from service.records.fields import PlotRow


class Hazard(StrEnum):
    """Why nothing may be poured on a plot before a person has decided."""

    STEEP = "steep"
    FLOODS = "floods"  # or stands in water
    OPEN_WATER = "open-water"  # beside it, where bilharzia is common


def kept_hazards(hazards: Collection[Hazard] | None) -> str | None:
    """Return hazards as a plot's row keeps them; None where nobody has asked."""
    if hazards is None:
        return None
    return ",".join(hazard.value for hazard in Hazard if hazard in hazards)


def hazards_of(plot: PlotRow) -> tuple[Hazard, ...] | None:
    """Return what is risky about a plot's ground; None where nobody has asked."""
    if plot.hazards is None:
        return None
    return tuple(Hazard(kept) for kept in plot.hazards.split(",") if kept)


def waits_for_decision(plot: PlotRow) -> bool:
    """Say whether a plot has a hazard on which nobody has decided."""
    return bool(plot.hazards) and plot.site_ok_at is None
