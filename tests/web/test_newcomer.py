"""A newcomer finds on the page of a household what to do next, without anybody's help."""

import pytest

from service.records.people import HouseholdRow
from tests.web.addresses import Ask
from tests.web.browser import PHONE, Screen
from tests.web.demo_pages import Demo, Windows
from tests.web.tree import Element, parse
from tests.world_looks import rows

HEADINGS = (
    "What to do",
    "From which can",
    "How much",
    "Why that day",
    "When harvest is safe",
    "If it rains",
)


def answers_of(page: Element) -> list[dict[str, str]]:
    """Return what stands under each heading, for each plot that is told of in full."""
    jobs = next(each for each in page.every("section") if "What to do next" in each.text)
    return [
        dict(
            zip(
                [each.text for each in answers.every("dt")],
                [each.text for each in answers.every("dd")],
                strict=True,
            )
        )
        for answers in jobs.every("dl")
    ]


def a_home_with_a_dose(demo: Demo) -> Ask:
    """Return the page of the first household of the demo whose next dose has a can."""
    for row in rows(demo.world, HouseholdRow):
        path = f"/households/{row.id}"
        found = answers_of(parse(demo.clients["en"].get(path).text))
        if not row.discreet and found and found[0].get("From which can", "").startswith("Can "):
            return Ask(endpoint="households.show", method="GET", path=path, open=False)
    raise AssertionError("no household of the demo has a dose with a can")


def test_six_answers_stand_under_their_headings(demo: Demo) -> None:
    ask = a_home_with_a_dose(demo)

    first = answers_of(parse(demo.clients["en"].get(ask.path).text))[0]

    assert tuple(first) == HEADINGS
    assert "2027" in first["What to do"]
    assert first["From which can"].startswith("Can ")
    assert "L of urine" in first["How much"]
    assert "water" in first["How much"]
    assert "Each plant: " in first["How much"]
    assert "The whole reason" in first["Why that day"]
    assert first["When harvest is safe"].startswith(("Not before ", "By what is known today"))
    assert "do not pour" in first["If it rains"]
    assert "RAIN" in first["If it rains"]


def test_every_household_of_the_demo_says_what_to_do_in_two_languages(demo: Demo) -> None:
    blank = [
        (row.id, language)
        for row in rows(demo.world, HouseholdRow)
        for language in ("en", "sw")
        for page in [
            parse(
                demo.clients[language]
                .get(f"/households/{row.id}", headers={"Accept-Language": language})
                .text
            )
        ]
        if "%(" in page.text or not any(each.get("aria-labelledby") for each in page.every())
    ]

    assert blank == []


@pytest.mark.browser
def test_a_newcomer_reads_the_answers_on_a_small_phone_without_scripts(windows: Windows) -> None:
    ask = a_home_with_a_dose(windows.demo)
    window = windows.window(ask, Screen(size=PHONE, scripts=False))

    status = window.open(ask.path)

    jobs = window.page.get_by_role("region", name="What to do next")
    assert status == 200
    assert window.sideways() <= 0
    for heading in HEADINGS:
        assert jobs.get_by_role("term").filter(has_text=heading).first.is_visible(), heading
    assert jobs.get_by_role("link", name="Say what happened").first.is_visible()
    assert jobs.get_by_role("heading", name="Cans and need").is_visible()
