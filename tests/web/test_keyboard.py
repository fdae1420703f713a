"""By keyboard alone: the order is that of the page, and one sees where one is."""

import pytest

from tests.web.addresses import Ask, rules
from tests.web.browser import PHONE, Screen
from tests.web.demo_pages import Demo, Windows
from tests.web.tree import parse

pytestmark = pytest.mark.browser

MOST = 3  # pages; those on which most is to be filled in or pressed
# of radio buttons the chosen one is reached, or the first while none is chosen
NOTE_ORDER = """() => {
  const first = (each) => {
    const group = [...document.getElementsByName(each.name)].filter((one) => one.form === each.form)
    return group.find((one) => one.checked) || group[0]
  }
  const folded = (each) => each.closest("details:not([open])") && each.tagName !== "SUMMARY"
  const all = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']"
  window.order = [...document.querySelectorAll(all)].filter((each) =>
    each.tabIndex >= 0 && !each.disabled && !folded(each)
    && (each.type !== "radio" || each === first(each)))
  return window.order.map((each) => each.outerHTML.slice(0, 80))
}"""
WHERE = """() => {
  const here = document.activeElement, style = getComputedStyle(here)
  return {
    place: window.order.indexOf(here),
    ringed: style.outlineStyle === "solid" && parseFloat(style.outlineWidth) >= 3,
    seen: here.getBoundingClientRect().left >= 0,
  }
}"""


def busiest(demo: Demo) -> list[Ask]:
    """Return the pages with most to fill in or press."""
    pages = [ask for rule in rules("GET") for ask in demo.pages(rule)[:1]]

    def controls(ask: Ask) -> int:
        page = parse(demo.client(ask).get(ask.path).text)
        return len(list(page.every("input", "select", "textarea", "button")))

    return sorted(pages, key=controls, reverse=True)[:MOST]


def test_the_tab_key_walks_a_page_as_it_is_read(windows: Windows) -> None:
    """WCAG 2.2, 2.1.1, 2.1.2, 2.4.3, 2.4.7: all is reached, in order, and seen when it is."""
    for ask in busiest(windows.demo):
        window = windows.window(ask, Screen(size=PHONE))
        window.open(ask.path)
        order = window.page.evaluate(NOTE_ORDER)
        walked = []
        for _ in order:
            window.page.keyboard.press("Tab")
            walked.append(window.page.evaluate(WHERE))

        assert len(order) > 10, ask.path
        assert [step["place"] for step in walked] == list(range(len(order))), ask.path
        assert [order[step["place"]] for step in walked if not step["ringed"]] == [], ask.path
        assert [order[step["place"]] for step in walked if not step["seen"]] == [], ask.path


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts on", "scripts off"])
def test_the_first_stop_leads_past_the_menu(
    windows: Windows,
    scripts: bool,  # noqa: FBT001 -- both ways of one test
) -> None:
    """WCAG 2.2, 2.4.1."""
    ask = busiest(windows.demo)[0]
    window = windows.window(ask, Screen(size=PHONE, scripts=scripts))
    window.open(ask.path)

    window.page.keyboard.press("Tab")
    window.page.keyboard.press("Enter")

    assert window.page.evaluate("document.activeElement.id") == "main"


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts on", "scripts off"])
def test_what_is_to_be_mended_is_where_one_goes_on(
    windows: Windows,
    scripts: bool,  # noqa: FBT001 -- both ways of one test
) -> None:
    """A form sent empty changes nothing; its page comes back with the box of faults in focus."""
    ask = Ask(endpoint="enrol.ask", method="GET", path="/enrol", open=False)
    window = windows.window(ask, Screen(size=PHONE, scripts=scripts))
    window.open(ask.path)

    with window.page.expect_navigation():
        window.page.get_by_role("button", name="Save", exact=True).click()

    box = window.page.get_by_role("alert")
    assert box.evaluate("box => box === document.activeElement")
    assert window.sideways() == 0
    box.get_by_role("link").first.click()
    assert window.page.evaluate("location.hash").startswith("#")
    assert window.page.title().startswith("Error:")
