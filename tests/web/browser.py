"""A real browser before the pages: Debian's chromium, driven over its own port on this machine.

Nothing but our own server is let through to it. A missing browser fails a test, it skips none.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from flask.testing import FlaskClient
from playwright.sync_api import Browser, ConsoleMessage, Page, Playwright, Response, expect

from service.web.app import COOKIE

PHONE = (320, 640)  # the narrowest screen that is promised
DESK = (1280, 800)
ICON = "/icon.svg"
LIMIT_MS = 20_000
expect.set_options(timeout=LIMIT_MS)
RULES = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
}

DRAWN_FAULTS = """() => {
  const ink = getComputedStyle(document.querySelector("main")).color
  const clear = (style) => style.fill === "none" || style.fill === "rgba(0, 0, 0, 0)"
  const beside = (a, b) => a.right <= b.left || b.right <= a.left
  const apart = (a, b) => beside(a, b) || a.bottom <= b.top || b.bottom <= a.top
  return [...document.querySelectorAll("svg text")].filter((words) => {
    const box = words.getBoundingClientRect()
    const under = [...words.ownerSVGElement.querySelectorAll("rect, path, circle, polygon")]
      .filter((shape) => !clear(getComputedStyle(shape)) && !shape.closest("pattern, defs"))
    return getComputedStyle(words).fill !== ink
      || under.some((shape) => !apart(box, shape.getBoundingClientRect()))
  }).map((words) => words.textContent)
}"""


@dataclass(kw_only=True)
class Looker:
    """A page in the browser, with what it was sent and what it complained about."""

    page: Page
    address: str
    answers: list[Response] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def open(self, path: str) -> int:
        """Open an address of ours as a first visit, and return the status it ended with."""
        self.answers.clear()
        self.complaints.clear()
        # the icon comes last of all, after the page counts as loaded
        with self.page.expect_response(lambda answer: answer.url.endswith(ICON)):
            answer = self.page.goto(self.address + path)
        assert answer is not None, f"{path} is no address of its own"
        return answer.status

    @property
    def weight(self) -> int:
        """The bytes of everything the last visit fetched, uncompressed; no redirect counted."""
        return sum(len(answer.body()) for answer in self.answers if answer.status < 300)

    def sideways(self) -> int:
        """Return by how many px the page is wider than the screen."""
        return int(
            self.page.evaluate(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            )
        )

    def _answered(self, answer: Response) -> None:
        self.answers.append(answer)

    def _said(self, line: ConsoleMessage) -> None:
        if line.type in ("error", "warning"):
            self.complaints.append(line.text)

    def listen(self) -> None:
        """Begin to note answers, complaints and failures of scripts."""
        self.page.on("response", self._answered)
        self.page.on("console", self._said)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """How someone looks: screen size, whether scripts may run, and the browser's language."""

    size: tuple[int, int] = PHONE
    scripts: bool = True
    locale: str = "en"


def start_chromium(play: Playwright) -> Browser:
    """Return the browser that CHROMIUM names, or Debian's.

    Raises:
        AssertionError: there is none.
    """
    path = os.environ.get("CHROMIUM") or shutil.which("chromium")
    assert path, "Install the Debian package chromium, or name another one in CHROMIUM."
    # tests may run as root in a container, where its sandbox cannot start; it sees our pages only
    return play.chromium.launch(executable_path=path, args=["--no-sandbox"])


@contextmanager
def looking(
    browser: Browser, address: str, screen: Screen, *, signed_in: FlaskClient | None = None
) -> Iterator[Looker]:
    """Give a browser window of its own, signed in as the client is."""
    width, height = screen.size
    context = browser.new_context(
        viewport={"width": width, "height": height},
        java_script_enabled=screen.scripts,
        locale=screen.locale,
    )
    context.set_default_timeout(LIMIT_MS)
    # routing also turns the browser's cache off, so that each visit is a first one
    context.route(lambda url: not url.startswith(address), lambda route: route.abort())
    if signed_in is not None:
        cookie = signed_in.get_cookie(COOKIE)
        assert cookie is not None, "the client is not signed in"
        # the cookie is for TLS only; a browser sends it to its own machine without
        secure = address.replace("http:", "https:")
        context.add_cookies([{"name": COOKIE, "value": cookie.value, "url": secure}])
    looker = Looker(page=context.new_page(), address=address)
    looker.listen()
    yield looker
    context.close()


def audit(looker: Looker) -> dict[str, dict[str, list[str]]]:
    """Return what axe finds, as `violations` and `unsure`: the rule, and where it is broken.

    Of words in a drawing axe cannot say how they stand out; `drawn_faults` does. Scripts must be
    on, for without them axe never comes back.
    """
    found: dict[str, Any] = Axe().run(looker.page, options=RULES).response
    unsure = [
        {**one, "nodes": [node for node in one["nodes"] if not _is_drawn(node)]}
        for one in found["incomplete"]
    ]
    return {"violations": _places(found["violations"]), "unsure": _places(unsure)}


def drawn_faults(looker: Looker) -> list[str]:
    """Return the words of drawings that are pale, or that stand over something filled."""
    return [str(words) for words in looker.page.evaluate(DRAWN_FAULTS)]


def _places(found: list[dict[str, Any]]) -> dict[str, list[str]]:
    return {
        one["id"]: [" ".join(map(str, node["target"])) for node in one["nodes"]]
        for one in found
        if one["nodes"]
    }


def _is_drawn(node: dict[str, Any]) -> bool:
    reasons = [(check["data"] or {}).get("messageKey") for check in node["any"]]
    return reasons == ["imgNode"] and node["html"].startswith(("<text", "<tspan"))
