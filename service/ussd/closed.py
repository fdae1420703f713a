"""What a phone is shown that dials while nothing can be taken down."""

from gateway_adapters.events import Screen
from service.ussd.facts import Line
from service.ussd.texts import MenuTexts


def closed_screen(texts: MenuTexts, language: str) -> Screen:
    """Return the screen that says that nothing was noted, and ends the session."""
    return Screen(text=texts.first_of(language).printed(Line(name="bye")), finish=True)
