"""The question about the ground that is asked once for each plot, as ticks of a form."""

from collections.abc import Mapping

from service.records.fields import PlotRow
from service.records.site import Hazard, hazards_of
from service.web.form import YES, Form
from service.web.sentence import Sentence, sentence

NO_RISK = "no_risk"
TICKS: Mapping[str, Hazard] = {
    "steep": Hazard.STEEP,
    "floods": Hazard.FLOODS,
    "open_water": Hazard.OPEN_WATER,
}
SITE_LABELS: Mapping[str, Sentence] = {
    "steep": sentence("Steep"),
    "floods": sentence("Floods or stands in water"),
    "open_water": sentence("By open water, with bilharzia"),
    NO_RISK: sentence("Asked: none of these"),
}


def site_told(form: Form) -> frozenset[Hazard] | None:
    """Return what was ticked about the ground; None where nobody has asked.

    A risk and "none of these" together are refused.
    """
    found = frozenset(hazard for name, hazard in TICKS.items() if form.yes(name))
    if not found:
        return found if form.yes(NO_RISK) else None
    if form.yes(NO_RISK):
        form.refuse(NO_RISK, sentence("Tick either what is risky, or that none of these is true."))
    return found


def site_typed(plot: PlotRow) -> dict[str, str]:
    """Return the ticks for what is known of a plot's ground."""
    hazards = hazards_of(plot)
    if hazards is None:
        return {}
    if not hazards:
        return {NO_RISK: YES}
    return {name: YES for name, hazard in TICKS.items() if hazard in hazards}
