"""What a person reads, fills in and presses on a page, found by words and roles."""

from collections.abc import Sequence
from itertools import takewhile

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.web.tree import Element, parse

Fields = dict[str, str]
HEADINGS = ("h1", "h2", "h3", "h4")
_PRESSED = ("button", "image", "reset", "submit")
_TICKED = ("checkbox", "radio")


def text_of(html: str) -> str:
    """Return the text that is seen on a page, each run of blanks as one."""
    return parse(html).text


def title_of(html: str) -> str:
    """Return a page's title."""
    return "".join(str(part) for title in parse(html).every("title") for part in title.inside)


def headings_of(html: str, *levels: str) -> list[str]:
    """Return the headings of these levels, such as h1; of all without."""
    return [each.text for each in parse(html).every(*(levels or HEADINGS))]


def said_under(html: str, anchor: str) -> str:
    """Return what a reader finds where a link to an anchor leads.

    A heading is read on to the next heading or section; anything else holds its own words.

    Raises:
        AssertionError: the page has no such anchor.
    """
    page = parse(html)
    for around in (page, *page.every()):
        for place, each in enumerate(around.inside):
            if isinstance(each, Element) and each.get("id") == anchor:
                return Element(tag="part", inside=_read_on(around.inside[place:])).text
    raise AssertionError(f"no place is called {anchor}")


def _read_on(parts: Sequence[Element | str]) -> list[Element | str]:
    first, *rest = parts
    if not isinstance(first, Element) or first.tag not in HEADINGS:
        return [first]
    ends = (*HEADINGS, "section")
    return [
        first,
        *takewhile(lambda part: not (isinstance(part, Element) and part.tag in ends), rest),
    ]


def links_of(html: str) -> dict[str, str]:
    """Return the addresses of a page's links by their words; the first of equal words."""
    links: dict[str, str] = {}
    for link in parse(html).every("a"):
        links.setdefault(link.text, link.get("href"))
    return links


def addresses_of(html: str) -> list[str]:
    """Return the addresses of all links of a page, in source order."""
    return [link.get("href") for link in parse(html).every("a")]


def buttons_of(html: str) -> list[str]:
    """Return the words on a page's buttons, in source order."""
    return [button.text for button in parse(html).every("button")]


def result_of(html: str) -> str:
    """Return the result line, blank where there is none."""
    return " ".join(each.text for each in parse(html).every() if each.get("role") == "status")


def faults_of(html: str) -> str:
    """Return the box that says what is to be mended, blank where there is none."""
    return " ".join(each.text for each in parse(html).every() if each.get("role") == "alert")


def form_of(html: str, action: str, **having: str) -> Fields:
    """Return the hidden and filled-in fields of the form that posts to `action`.

    Where several do, `having` names values by which the wanted one is told.

    Raises:
        AssertionError: the page has no such form; the message names those that it has.
    """
    forms = [form for form in parse(html).every("form") if form.get("method").lower() == "post"]
    fitting = [fields_of(form) for form in forms if form.get("action") in (action, "")]
    for fields in fitting:
        if having.items() <= fields.items():
            return fields
    shown = sorted({form.get("action") for form in forms})
    raise AssertionError(f"no form for {action} with {having}; the page has forms for {shown}")


def fields_of(form: Element) -> Fields:
    """Return what a browser would send of a form in which nothing was changed or pressed."""
    fields: Fields = {}
    for each in form.every("input", "select", "textarea"):
        sent = _sent(each)
        if sent is not None:
            fields[each.get("name")] = sent
    return fields


def _sent(control: Element) -> str | None:
    if control.tag == "textarea":
        return "".join(str(part) for part in control.inside)
    if control.tag == "select":
        return _chosen(control)
    if control.get("type") in _TICKED:
        return (control.get("value") or "on") if control.has("checked") else None
    return None if control.get("type") in _PRESSED else control.get("value")


def _chosen(select: Element) -> str:
    options = list(select.every("option"))
    marked = [option for option in options if option.has("selected")] or options[:1]
    return marked[0].get("value") if marked else ""


def post(client: FlaskClient, path: str, page: str, /, **fields: str) -> TestResponse:
    """Fill in the form of `page` that posts to `path`, and press its button.

    `page` is the HTML, or the address under which the form is found.
    """
    html = client.get(page).text if page.startswith("/") else page
    return client.post(path, data=form_of(html, path) | fields)
