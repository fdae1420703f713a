"""The reasons that a coordinator sees behind a planting's days and amounts."""

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from service.confirmations.crop_news import confirm_rain, confirm_up
from tests.web.reading import text_of
from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.web.tree import Element, parse
from tests.world import Enrolled, World, enrol
from tests.world_facts import another_plot, by_call

FIGURE = re.compile(r"\d[\d.,]*")


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """A service with the household, plot and planting that each test enrols."""
    made = World(folder=tmp_path)
    yield made
    made.close()


def coordinator(world: World) -> FlaskClient:
    """Return the browser of a coordinator who has signed in."""
    return browser_of(office_of(world, Wall()), visit_token(world))


def a_season_under_way(world: World) -> Enrolled:
    """Return a planting with a dose done, one open, one dropped, and days on hold."""
    home = enrol(world, water_ratio=2)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.tick("2027-04-15T12:00")
    by_call(world, lambda desk: confirm_up(desk, home.planting_id, on=date(2027, 4, 14)))
    world.tick("2027-04-21T06:00")
    by_call(world, lambda desk: confirm_rain(desk, home.planting_id))
    return home


def shown(client: FlaskClient, home: Enrolled, page: str = "") -> Element:
    return parse(client.get(f"/plantings/{home.planting_id}{page}").text)


def bare(part: Element, anchors: set[str]) -> list[str]:
    """Return the figures that stand in no link to an anchor of the reasons, nor beside one."""
    found: list[str] = []
    for inner in part.inside:
        if isinstance(inner, str):
            found += FIGURE.findall(inner)
        elif not leads_to(inner, anchors):
            found += bare(inner, anchors)
    return found


def leads_to(part: Element, anchors: set[str]) -> bool:
    _, _, anchor = part.get("href").partition("/why#")
    return part.tag == "a" and anchor in anchors


def test_every_figure_of_a_planting_leads_to_a_reason_that_is_there(world: World) -> None:
    """A13: of the figures in the dose table and the list of days, none stands without its link."""
    home = a_season_under_way(world)
    client = coordinator(world)
    page, why = shown(client, home), shown(client, home, "/why")
    anchors = {each.get("id") for each in why.every() if each.has("id")}
    doses, days = next(page.every("tbody")), next(page.every("dl"))

    assert len(FIGURE.findall(doses.text)) > 25
    assert len(FIGURE.findall(days.text)) > 8
    assert bare(doses, anchors) == []
    assert bare(days, anchors) == []


def test_every_reason_holds_the_figure_that_it_stands_for(world: World) -> None:
    """A13: behind each day and amount of the dose table the same day or amount is redone."""
    home = a_season_under_way(world)
    client = coordinator(world)
    why = {each.get("id"): each.text for each in shown(client, home, "/why").every("section", "p")}
    table = next(shown(client, home).every("tbody"))

    missing = [
        f"{link.text} under {anchor}"
        for link in table.every("a")
        if (anchor := link.get("href").partition("#")[2]).endswith(("-day", "-amount"))
        and link.text not in why[anchor]
        and link.text not in ("none", "0")
    ]

    assert missing == []


def test_every_answer_names_a_rule_a_source_or_who_told(world: World) -> None:
    """A13: a source, the words that there is none, a link to the rule, or that it was told."""
    home = a_season_under_way(world)
    client = coordinator(world)
    why = shown(client, home, "/why")
    marks = ("source", "Source", "From memory", "Told", "Entered", "as entered")

    silent = [
        part.get("id")
        for part in why.every("section", "p")
        if part.has("id")
        and not any(mark in part.text for mark in marks)
        and not any(link.get("href").startswith("#") for link in part.every("a"))
        and not part.get("id").endswith("-state")
    ]

    assert silent == []


def test_the_younger_plot_is_served_first_and_the_page_says_why(world: World) -> None:
    """A15: two plots, one can of 30 L, both due on 4 April."""
    older = enrol(world, sealed_on=date(2027, 3, 5), can_litres=30)
    younger = another_plot(world, older, letter="D", planted_on=date(2027, 3, 22))
    world.tick("2027-03-15T12:00")
    world.tick("2027-04-04T06:00")
    client = coordinator(world)

    served = text_of(client.get(f"/plantings/{younger.planting_id}/why").text)
    waiting = text_of(client.get(f"/plantings/{older.planting_id}/why").text)

    assert "Turn 1 of 11 at the cans: due on Sun 4 Apr." in served
    assert "Can 1 gives 25 L. That is enough." in served
    assert "the youngest plot goes first: planted on Mon 22 Mar before Mon 15 Mar." in waiting
    assert "By Sun 4 Apr the cans give 5 L of the 30 L wanted: short by 25 L." in waiting
