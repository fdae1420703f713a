"""Every page as it is written: what someone hears who does not see it, and what it gives away."""

import re
from urllib.parse import urlsplit

import pytest
from werkzeug.routing import Rule

from service.records.fields import PlantingRow
from service.records.people import HouseholdRow
from service.web.style import ICON, SHEET
from tests.web.addresses import Ask, rules
from tests.web.demo_pages import Demo
from tests.web.reading import title_of
from tests.web.tree import Element, parse
from tests.world_looks import rows

PAGES = [pytest.param(rule, id=rule.rule) for rule in rules("GET")]
ASKED = ("input", "select", "textarea")
NUMBER = re.compile(r"\+?[0-9](?:[ \-/]?[0-9]){7,}")  # a phone number, however it is grouped
REVEALING = re.compile(r"urine|mkojo|pee\b", re.IGNORECASE)
HEAVIEST = 15_000  # bytes of a first visit, style sheet and all
BESIDE = len((SHEET + ICON).encode())
IN_WORDS = ("alt", "aria-label", "title")
IN_ADDRESSES = ("action", "href", "src")


def trees(demo: Demo, rule: Rule, language: str = "en") -> dict[str, Element]:
    """Return the pages of a rule by their addresses."""
    return {
        ask.path: parse(demo.client(ask, language).get(ask.path, headers=hear(language)).text)
        for ask in demo.pages(rule)
    }


def hear(language: str) -> dict[str, str]:
    """Return what a browser says of its language."""
    return {"Accept-Language": language}


def label_faults(page: Element) -> list[str]:
    """Return each control without words of its own, and each label without a control."""
    controls = [each for each in page.every(*ASKED) if each.get("type") != "hidden"]
    labels = [each for each in page.every("label") if each.text]
    inside = {id(each) for label in labels for each in label.every(*ASKED)}
    named = {label.get("for") for label in labels if label.has("for")}
    ids = {each.get("id") for each in controls}
    return [
        *(
            f"no label: {each.get('name')}"
            for each in controls
            if id(each) not in inside and each.get("id") not in named and not each.get("aria-label")
        ),
        *(f"a label for nothing: {name}" for name in sorted(named - ids)),
        *(
            "a group without words"
            for each in page.every("fieldset")
            if not next((legend.text for legend in each.every("legend")), "")
        ),
        *("a button without words" for each in page.every("button") if not each.text),
        *("a link without words" for each in page.every("a") if not each.text),
    ]


def id_faults(page: Element) -> list[str]:
    """Return the ids that stand twice, and those pointed at that are not there."""
    ids = [each.get("id") for each in page.every() if each.has("id")]
    pointed = [
        name
        for each in page.every()
        for attribute in ("aria-describedby", "aria-labelledby", "aria-controls", "for")
        for name in each.get(attribute).split()
    ]
    pointed += [
        each.get("href")[1:] for each in page.every("a") if each.get("href").startswith("#")
    ]
    return [
        *(f"twice: {name}" for name in sorted({name for name in ids if ids.count(name) > 1})),
        *(f"nowhere: {name}" for name in sorted(set(pointed) - set(ids))),
    ]


def table_faults(page: Element) -> list[str]:
    """Return what a table lacks for those who hear it."""
    return [
        fault
        for table in page.every("table")
        for fault, there in (
            ("no caption", any(each.text for each in table.every("caption"))),
            ("no headings", any(table.every("th"))),
            ("a heading without scope", all(each.get("scope") for each in table.every("th"))),
        )
        if not there
    ]


@pytest.mark.parametrize("language", ["en", "sw"])
@pytest.mark.parametrize("rule", PAGES)
def test_a_page_is_whole_for_those_who_hear_it(demo: Demo, rule: Rule, language: str) -> None:
    faults = {}
    for path, page in trees(demo, rule, language).items():
        html = next(page.every("html"))
        found = [
            *label_faults(page),
            *id_faults(page),
            *table_faults(page),
            *([] if len([each for each in page.every("h1") if each.text]) == 1 else ["h1"]),
            *([] if html.get("lang") == language else [f"lang is {html.get('lang')}"]),
            *("an image without words" for each in page.every("img") if not each.has("alt")),
            *("a drawing without words" for each in page.every("svg") if not drawn_words(each)),
        ]
        if found:
            faults[path] = found

    assert faults == {}


def drawn_words(drawing: Element) -> str:
    """Return the title of a drawing."""
    return " ".join(str(part) for each in drawing.every("title") for part in each.inside)


@pytest.mark.parametrize("language", ["en", "sw"])
@pytest.mark.parametrize(
    ("table", "page"),
    [
        pytest.param(HouseholdRow, "/households/{}", id="household"),
        pytest.param(HouseholdRow, "/households/{}/stock", id="stock"),
        pytest.param(PlantingRow, "/plantings/{}", id="planting"),
        pytest.param(PlantingRow, "/plantings/{}/why", id="reasons"),
    ],
)
def test_the_longest_pages_are_light_for_every_home(
    demo: Demo, language: str, table: type[HouseholdRow | PlantingRow], page: str
) -> None:
    paths = [page.format(row.id) for row in rows(demo.world, table)]
    weights = {path: len(demo.clients[language].get(path).data) + BESIDE for path in paths}

    assert len(paths) > 30
    assert {path: weight for path, weight in weights.items() if weight > HEAVIEST} == {}


@pytest.mark.parametrize("language", ["en", "sw"])
def test_each_page_has_a_title_of_its_own(demo: Demo, language: str) -> None:
    """Two addresses may share a title only where they differ by an id alone."""
    titles: dict[str, set[str]] = {}
    for rule in rules("GET"):
        for ask in demo.pages(rule)[:1]:
            html = demo.client(ask, language).get(ask.path, headers=hear(language)).text
            titles.setdefault(title_of(html), set()).add(rule.rule)

    assert {title: pages for title, pages in titles.items() if len(pages) > 1} == {}


@pytest.mark.parametrize("rule", PAGES)
def test_a_page_has_nothing_in_it_that_the_policy_forbids(demo: Demo, rule: Rule) -> None:
    faults = [
        (path, each.tag, name)
        for path, page in trees(demo, rule).items()
        for each in page.every()
        for name in [each.tag, *each.attributes]
        if name in ("script", "style", "iframe", "object", "base") or name.startswith("on")
    ]

    assert faults == []


@pytest.mark.parametrize("rule", PAGES)
def test_a_page_gives_no_number_and_no_name_away(demo: Demo, rule: Rule) -> None:
    """Neither where others look over a shoulder, nor where a history keeps it."""
    names = {row.alias for row in rows(demo.world, HouseholdRow)}
    faults = []
    for path, page in trees(demo, rule).items():
        titles = [drawn_words(Element(tag="page", inside=list(page.every("title"))))]
        addresses = [path, *(each.get(name) for each in page.every() for name in IN_ADDRESSES)]
        words = titles + [each.get(name) for each in page.every() for name in IN_WORDS]
        faults += [(path, text) for text in addresses + words if NUMBER.search(text)]
        faults += [
            (path, text)
            for text in addresses + titles
            if REVEALING.search(text) or any(name in text for name in names)
        ]

    assert faults == []


@pytest.mark.parametrize("rule", PAGES)
def test_every_link_of_a_page_leads_somewhere(demo: Demo, rule: Rule) -> None:
    dead = {}
    for ask in demo.pages(rule):
        client = demo.client(ask)
        page = parse(client.get(ask.path).text)
        for path in sorted(inner_addresses(ask, page)):
            status = client.get(path, follow_redirects=True).status_code
            if status >= 400:
                dead[ask.path, path] = status

    assert dead == {}


def inner_addresses(ask: Ask, page: Element) -> set[str]:
    """Return the addresses of ours that a page links to, without the place in the page."""
    found = {each.get("href") for each in page.every("a", "link")}
    found |= {each.get("action") for each in page.every("form") if each.get("method") != "post"}
    outside = {each for each in found if urlsplit(each).scheme or urlsplit(each).netloc}
    apps = {each for each in outside if each.startswith("otpauth:")}  # opens the code app
    assert outside == apps, f"{ask.path} leads elsewhere"
    return {each.partition("#")[0] for each in found - apps} - {""}


@pytest.mark.parametrize("rule", PAGES)
def test_every_form_of_a_page_is_taken_somewhere_and_cannot_be_forged(
    demo: Demo, rule: Rule
) -> None:
    faults = []
    bound = demo.apps["en"].url_map.bind("")
    for path, page in trees(demo, rule).items():
        for form in page.every("form"):
            if form.get("method") != "post":
                continue
            names = [each.get("name") for each in form.every("input")]
            if names.count("csrf_token") != 1:
                faults.append((path, form.get("action"), "no token"))
            if not bound.test(form.get("action") or path, method="POST"):
                faults.append((path, form.get("action"), "goes nowhere"))

    assert faults == []
