"""How a planting stands as a whole: open or closed, on ground that may be used or not."""

from dataclasses import dataclass
from datetime import datetime

from service.agronomy.cautions import cautions
from service.confirmations.plot_state import PlotState
from service.records.fields import PlotRow
from service.records.site import Hazard, hazards_of, waits_for_decision
from service.web.sentence import Sentence, sentence

HAZARD_WORDS = {
    Hazard.STEEP: sentence("steep ground"),
    Hazard.FLOODS: sentence("floods or stands in water"),
    Hazard.OPEN_WATER: sentence("beside open water where bilharzia is common"),
}
_CAUTIONS = {
    Hazard.STEEP: "rain",
    Hazard.FLOODS: "rain",
    Hazard.OPEN_WATER: "open-water",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A plot's ground at risk: the hazards, the cautions for them, and who decided what.

    `decided_by` is None while nobody has decided, so that nothing is given there.
    """

    plot_id: int
    hazards: tuple[Sentence, ...]
    cautions: tuple[str, ...]  # English, as the table of cautions has them
    decided_by: str | None
    why: str
    decided_at: datetime | None


def site_of(plot: PlotRow) -> Site | None:
    """Return how a plot at risk stands, None where nothing risky is known of it."""
    hazards = hazards_of(plot)
    if not hazards:
        return None
    wanted = {_CAUTIONS[hazard] for hazard in hazards}
    return Site(
        plot_id=plot.id,
        hazards=tuple(HAZARD_WORDS[hazard] for hazard in hazards),
        cautions=tuple(caution.text for caution in cautions() if caution.id in wanted),
        decided_by=None if waits_for_decision(plot) else plot.site_ok_by or "",
        why=plot.site_ok_why or "",
        decided_at=plot.site_ok_at,
    )


def closed_words(state: PlotState) -> Sentence | None:
    """Return how a planting ended, None while it stands."""
    on = state.bundle.planting.closed_on
    if on is None:
        return None
    if state.reports.failed_on is not None:
        return sentence(
            "The crop failed or never came up, told for %(day)s. This planting is closed.", day=on
        )
    return sentence("Harvested on %(day)s. This planting is closed.", day=on)
