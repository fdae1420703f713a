"""The page of a planting and its reasons.

Maize on plot A, sown on 15 March; doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May;
the last day for a dose is 6 June.
"""

from dataclasses import replace
from datetime import date, datetime

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.confirmations.crop_news import confirm_rain, confirm_up
from service.records.fields import DoseRow, FactKind, HoldRow, PlantingFactRow, Source
from service.web.style import SHEET
from tests.web.reading import addresses_of, headings_of, links_of, text_of, title_of
from tests.web.staff import NEEMA, browser_of, visit_token
from tests.web.tree import Element, parse
from tests.world import ZONE, Enrolled, World, enrol
from tests.world_facts import by_call
from tests.world_looks import rows

PAGES = ("", "/why", "/news")
PAGE_MOST = 15_000  # bytes of page and style sheet
DRAWING_MOST = 4_000  # bytes


def shown(client: FlaskClient, home: Enrolled, page: str = "") -> str:
    answer = client.get(f"/plantings/{home.planting_id}{page}")
    assert answer.status_code == 200
    return answer.text


def dose_table(html: str) -> list[list[str]]:
    """Return the words of each row of the dose table, cell by cell."""
    table = next(parse(html).every("table"))
    body = next(table.every("tbody"))
    return [[cell.text for cell in row.every("th", "td")] for row in body.every("tr")]


def ids_of(html: str) -> list[str]:
    return [each.get("id") for each in parse(html).every() if each.has("id")]


def unexplained(part: Element) -> list[str]:
    """Return the pieces of text with a figure that stand in no link to a reason."""
    found: list[str] = []
    for inner in part.inside:
        if isinstance(inner, str):
            found += [inner] if any(letter.isdigit() for letter in inner) else []
        elif not (inner.tag == "a" and "/why#" in inner.get("href")):
            found += unexplained(inner)
    return found


def test_the_page_begins_with_what_remains_and_until_when(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")

    html = shown(client, home)

    assert headings_of(html, "h1") == ["Plot A: maize"]
    assert "6 of 7 doses remain; none after Sunday 6 June 2027." in text_of(html)
    assert links_of(html)["To the household"] == f"/households/{home.household_id}"


def test_each_dose_stands_with_its_day_litres_and_state(world: World, client: FlaskClient) -> None:
    home = enrol(world, water_ratio=3)
    world.tick("2027-03-14T18:00")

    table = dose_table(shown(client, home))

    assert [row[0] for row in table] == ["A1", "A2", "A3", "A4", "A5", "A6", "A7"]
    assert table[3] == [
        "A4",
        "Day: Sun 11 Apr",
        "Litres of urine: 21.5",
        "Litres of water: 64.5",
        "due",
    ]


def test_a_dose_that_can_be_given_now_is_said_to_be_open(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-16T12:00")

    states = [row[-1] for row in dose_table(shown(client, home))]

    assert states == ["due, open now", *["due"] * 6]


def test_done_not_done_and_not_known_are_three_words(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.tick("2027-03-27T18:00")
    world.text("A2 NO", at="2027-03-28T12:00")
    world.tick("2027-04-03T18:00")
    world.tick("2027-04-11T06:00")

    states = [row[-1] for row in dose_table(shown(client, home))[:3]]

    assert states == [
        "done by text, Mon 15 Mar 12:00",
        "not done by text, Sun 28 Mar 12:00",
        "not known",
    ]


def test_the_first_report_of_a_dose_done_is_the_one_that_is_named(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1 NO", at="2027-03-15T12:00")
    world.text("A1", at="2027-03-16T12:00")
    world.text("A1", at="2027-03-17T12:00")

    assert dose_table(shown(client, home))[0][-1] == "done by text, Tue 16 Mar 12:00"


def test_every_figure_of_the_dose_table_has_a_reason(world: World, client: FlaskClient) -> None:
    home = enrol(world, water_ratio=2)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    by_call(world, lambda desk: confirm_up(desk, home.planting_id, on=date(2027, 3, 15)))
    world.tick("2027-05-09T18:00")

    html = shown(client, home)
    reasons = ids_of(shown(client, home, "/why"))
    asked = [link.partition("#")[2] for link in addresses_of(html) if "/why#" in link]

    assert unexplained(next(parse(html).every("tbody"))) == []
    assert len(asked) > 25
    assert set(asked) <= set(reasons)
    assert len(reasons) == len(set(reasons))


def test_the_figures_beside_the_table_have_a_reason_too(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")

    days = next(parse(shown(client, home)).every("dl"))

    assert unexplained(days) == []


def test_an_assumed_day_is_marked_wherever_it_stands(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    before = [text_of(shown(client, home, page)) for page in ("", "/why")]
    world.tick("2027-03-25T12:00")
    by_call(world, lambda desk: confirm_up(desk, home.planting_id, on=date(2027, 3, 24)))
    after = [text_of(shown(client, home, page)) for page in ("", "/why")]

    assert "Plants up Sun 21 Mar, assumed" in before[0]
    assert "Sunday 21 March 2027 (assumed)" in before[0]
    assert "counted from an assumed day" in before[0]
    assert before[1].count("Sun 21 Mar (assumed)") == 6
    assert not [text for text in after if "ssumed" in text.replace("Hollow square: assumed", "")]
    assert "Told: most plants were up on Wed 24 Mar." in after[1]


def test_a_dropped_dose_says_why(world: World, client: FlaskClient) -> None:
    """Up on 14 April: dose 7 would fall on 9 June, after the last day, 6 June."""
    home = enrol(world)
    world.tick("2027-04-15T12:00")
    by_call(world, lambda desk: confirm_up(desk, home.planting_id, on=date(2027, 4, 14)))

    last = dose_table(shown(client, home))[-1]
    reasons = text_of(shown(client, home, "/why"))

    assert last == [
        "A7",
        "Day: Wed 9 Jun",
        "none",
        "dropped It falls after the last day for a dose.",
    ]
    assert "Dropped: It falls after the last day for a dose." in reasons


def test_a_discreet_home_shows_the_letter_and_no_revealing_word(
    world: World, client: FlaskClient, app: Flask
) -> None:
    home = enrol(world, discreet=True, water_ratio=2)
    world.tick("2027-03-15T12:00")
    token = visit_token(world, replace(NEEMA, name="asha", language="sw"))
    pages = {
        "en": [shown(client, home, page) for page in PAGES],
        "sw": [shown(browser_of(app, token), home, page) for page in PAGES],
    }

    assert headings_of(pages["en"][0], "h1") == ["Plot A"]
    assert title_of(pages["en"][0]).split()[:2] == ["Plot", "A"]
    assert "maize" not in title_of(pages["en"][0])
    assert "garden mix" in text_of(pages["en"][0])
    for language, shown_pages in pages.items():
        words = text_of(" ".join(next(parse(html).every("body")).text for html in shown_pages))
        spoken = {"".join(filter(str.isalpha, word)).casefold() for word in words.split()}
        assert not spoken & {"urine", "pee", *_revealing(world, language)}


def _revealing(world: World, language: str) -> set[str]:
    return set(world.services.catalogue.languages[language].words.revealing)


def test_a_plot_without_a_letter_shows_bare_numbers(world: World, client: FlaskClient) -> None:
    home = enrol(world, letter=None)
    world.tick("2027-03-15T12:00")

    html = shown(client, home)

    assert headings_of(html, "h1") == ["A plot without a letter: maize"]
    assert [row[0] for row in dose_table(html)] == ["1", "2", "3", "4", "5", "6", "7"]


def test_a_hold_is_shown_and_gives_the_moved_dose_its_reason(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.tick("2027-03-28T12:00")
    by_call(world, lambda desk: confirm_rain(desk, home.planting_id))

    html, reasons = shown(client, home), text_of(shown(client, home, "/why"))

    assert "No dose from Sun 28 Mar to Mon 29 Mar (by telephone, Sun 28 Mar 12:00)" in text_of(html)
    assert dose_table(html)[1][1] == "Day: Tue 30 Mar"
    assert "Its day is now Tue 30 Mar. No dose from Sun 28 Mar to Mon 29 Mar: rain" in reasons


def test_a_long_telling_is_shown_in_pages(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    with world.services.sessions.begin() as session:
        for day in range(1, 29):
            session.add(
                PlantingFactRow(
                    association_id=1,
                    planting_id=home.planting_id,
                    kind=FactKind.BURNT,
                    dose_number=None,
                    on=date(2027, 2, day),
                    source=Source.FORM,
                    noted_by="Asha Test",
                    flag=None,
                    recorded_at=world.clock(),
                )
            )

    first = shown(client, home)
    second = text_of(client.get(f"/plantings/{home.planting_id}?page=2").text)

    assert text_of(first).count("Leaves burnt, told on") == 25
    assert links_of(first)["Older"] == "?page=2"
    assert second.count("Leaves burnt, told on") == 3
    assert "(on a form, noted by Asha Test, Mon 15 Mar 12:00)" in second


@pytest.mark.parametrize("language", ["en", "sw"])
@pytest.mark.parametrize("page", PAGES, ids=["season", "why", "news"])
def test_the_pages_and_their_drawing_are_light(
    world: World, app: Flask, language: str, page: str
) -> None:
    """In the dry season, with a hold and every dose told of, as heavy as a page gets."""
    home = enrol(world, water_ratio=2)
    world.tick("2027-03-14T18:00")
    for number, on in enumerate(("03-15", "03-29", "04-05", "04-12"), start=1):
        world.text(f"A{number}", at=f"2027-{on}T12:00")
    world.text("A RAIN", at="2027-04-18T12:00")
    token = visit_token(world, replace(NEEMA, name="asha", language=language))

    html = shown(browser_of(app, token), home, page)
    drawing = html.partition("<svg")[2].partition("</svg>")[0]

    assert len((html + SHEET).encode()) <= PAGE_MOST
    assert len(drawing.encode()) <= DRAWING_MOST


def test_looking_changes_nothing(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    before = kept(world)
    world.now = datetime(2027, 4, 30, 12, 0, tzinfo=ZONE)
    for page in PAGES:
        shown(client, home, page)

    assert kept(world) == before


def kept(world: World) -> list[tuple[int, str, date]]:
    """Return what the records say of doses, and how many facts and holds they hold."""
    found = [(row.number, row.state.value, row.due_on) for row in rows(world, DoseRow)]
    counts = [(len(rows(world, table)), "rows", date.min) for table in (PlantingFactRow, HoldRow)]
    return found + counts


def test_a_planting_that_is_not_there_is_not_found(client: FlaskClient) -> None:
    for page in PAGES:
        assert client.get(f"/plantings/99{page}").status_code == 404
