"""The name of a planting's pages, in the page's language."""

from service.confirmations.plot_state import PlotState
from service.web.here import here
from service.web.planting_sheet import heading


def planting_heading(state: PlotState) -> str:
    """Return the name of a planting's pages; a discreet household's tells the letter only."""
    crop = small_text(f"crop.{state.bundle.planting.crop}")
    return here().tongue.say(heading(state, crop=crop))


def small_text(name: str) -> str:
    """Return one of the short texts for growers, in the page's language or in English."""
    asked = here()
    languages = asked.services.catalogue.languages
    language = languages.get(asked.tongue.code, languages["en"])
    return language.texts.get(name) or languages["en"].texts[name]
