"""The audit finds what it is there for: one that checks nothing would be noticed here."""

import pytest

from tests.web.addresses import Ask
from tests.web.browser import PHONE, Looker, Screen, audit, drawn_faults
from tests.web.demo_pages import Windows

pytestmark = pytest.mark.browser

SIGN_IN = Ask(endpoint="sign_in.ask", method="GET", path="/sign-in", open=True)


@pytest.fixture
def window(windows: Windows) -> Looker:
    """The page for signing in, on a phone."""
    found = windows.window(SIGN_IN, Screen(size=PHONE))
    found.open(SIGN_IN.path)
    return found


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        pytest.param("document.querySelector('label').remove()", "label", id="a label is gone"),
        pytest.param(
            "document.querySelector('h1').style.color = '#c9ccc3'", "color-contrast", id="pale"
        ),
        pytest.param(
            "document.documentElement.removeAttribute('lang')", "html-has-lang", id="no language"
        ),
        pytest.param("document.title = ''", "document-title", id="no title"),
        pytest.param(
            """const one = document.createElement("p");
            one.innerHTML = "<a href='/a'>a</a><a href='/b'>b</a>";
            for (const each of one.querySelectorAll("a")) {
              each.style.cssText = "display:inline-block;font-size:10px;line-height:10px" }
            document.querySelector("main").append(one)""",
            "target-size",
            id="links too small to hit",
        ),
    ],
)
def test_what_is_wrong_is_found(window: Looker, change: str, rule: str) -> None:
    before = audit(window)["violations"]

    window.page.evaluate(f"() => {{ {change} }}")

    assert before == {}
    assert rule in audit(window)["violations"]


@pytest.mark.parametrize(
    ("words", "faults"),
    [
        pytest.param('<text x="50" y="20" fill="currentColor">ok</text>', [], id="beside a bar"),
        pytest.param('<text x="5" y="20" fill="currentColor">on</text>', ["on"], id="over a bar"),
        pytest.param('<text x="50" y="20" fill="#ccc">pale</text>', ["pale"], id="pale"),
    ],
)
def test_words_of_a_drawing_stand_out(window: Looker, words: str, faults: list[str]) -> None:
    drawing = f'<svg viewBox="0 0 100 40"><rect width="30" height="30"/>{words}</svg>'

    window.page.evaluate("drawn => { document.querySelector('main').innerHTML = drawn }", drawing)

    assert drawn_faults(window) == faults


def test_a_page_that_is_too_wide_is_noticed(window: Looker) -> None:
    window.page.evaluate("() => { document.querySelector('h1').style.width = '400px' }")

    assert window.sideways() > 0


def test_a_complaint_of_the_browser_is_noticed(window: Looker) -> None:
    window.page.evaluate("() => { console.error('a fault') }")

    assert window.complaints == ["a fault"]


def test_what_the_pages_forbid_is_noticed(window: Looker) -> None:
    """The policy lets no style through that stands in the page itself."""
    window.page.evaluate(
        "() => document.head.append(Object.assign(document.createElement('style'), "
        "{textContent: 'h1 { color: red }'}))"
    )

    assert any("Content Security Policy" in line for line in window.complaints)


def test_a_visit_weighs_the_page_and_its_sheet(window: Looker) -> None:
    kinds = sorted(answer.header_value("content-type") or "" for answer in window.answers)

    assert {"text/css; charset=utf-8", "text/html; charset=utf-8"} <= set(kinds)
    assert 4_000 < window.weight < 15_000
