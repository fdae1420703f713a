"""Every page in a real browser: it fits, it is light, it is quiet, and everyone can use it."""

import pytest
from werkzeug.routing import Rule

from tests.web.addresses import rules
from tests.web.browser import DESK, PHONE, Looker, Screen, audit, drawn_faults
from tests.web.demo_pages import Windows
from tests.web.longer import LONG

pytestmark = pytest.mark.browser

HEAVIEST = 15_000  # bytes of a first visit, style sheet and all
PAGES = [pytest.param(rule, id=rule.rule) for rule in rules("GET")]
ON_PHONE, AT_DESK = Screen(size=PHONE), Screen(size=DESK)
WITHOUT_SCRIPTS = Screen(size=PHONE, scripts=False)
TURNED = "document.documentElement.dir = 'rtl'"
SPACED = """for (const each of document.querySelectorAll("*")) {
  each.style.letterSpacing = ".12em"; each.style.wordSpacing = ".16em";
  each.style.lineHeight = "1.5" }"""


def faults_at(window: Looker, path: str) -> list[str]:
    """Open a page, and return what is wrong with how it comes and lies there."""
    status = window.open(path)
    wide = window.sideways()
    return [
        *([f"answers {status}"] if status != 200 else []),
        *([f"is {wide} px too wide"] if wide > 0 else []),
        *(f"complains: {line}" for line in window.complaints),
    ]


@pytest.mark.parametrize("rule", PAGES)
@pytest.mark.parametrize(
    ("screen", "language"),
    [
        pytest.param(ON_PHONE, "en", id="scripts on"),
        pytest.param(WITHOUT_SCRIPTS, "en", id="scripts off"),
        pytest.param(ON_PHONE, "sw", id="Swahili"),
        pytest.param(ON_PHONE, LONG, id="longer words"),
    ],
)
def test_a_page_fits_a_small_phone_on_a_poor_line(
    windows: Windows, rule: Rule, screen: Screen, language: str
) -> None:
    faults = {}
    for ask in windows.demo.pages(rule):
        window = windows.window(ask, screen, language)
        found = faults_at(window, ask.path)
        if language != LONG and window.weight > HEAVIEST:
            found.append(f"weighs {window.weight} bytes")
        if found:
            faults[ask.path] = found

    assert faults == {}


@pytest.mark.parametrize("rule", PAGES)
@pytest.mark.parametrize(
    "change", [pytest.param(TURNED, id="right to left"), pytest.param(SPACED, id="spaced text")]
)
def test_a_page_still_fits_when_it_is(windows: Windows, rule: Rule, change: str) -> None:
    """WCAG 2.2, 1.4.12: text spacing; right to left as Arabic is written."""
    wide = {}
    for ask in windows.demo.pages(rule):
        window = windows.window(ask, ON_PHONE)
        window.open(ask.path)
        window.page.evaluate(change)
        if window.sideways() > 0:
            wide[ask.path] = window.sideways()

    assert wide == {}


@pytest.mark.parametrize("rule", PAGES)
@pytest.mark.parametrize(
    ("screen", "language"),
    [
        pytest.param(ON_PHONE, "en", id="on a phone"),
        pytest.param(AT_DESK, "sw", id="at a desk in Swahili"),
    ],
)
def test_a_page_can_be_used_by_everyone(
    windows: Windows, rule: Rule, screen: Screen, language: str
) -> None:
    """WCAG 2.2, levels A and AA, as far as axe can tell."""
    faults = {}
    for ask in windows.demo.pages(rule):
        window = windows.window(ask, screen, language)
        window.open(ask.path)
        found = [*audit(window).values(), drawn_faults(window)]
        if any(found):
            faults[ask.path] = found

    assert faults == {}
