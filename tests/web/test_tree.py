"""The tests' own eyes: what they find on a page is what a browser would show and send."""

import pytest

from tests.web.reading import (
    faults_of,
    form_of,
    headings_of,
    links_of,
    result_of,
    said_under,
    text_of,
    title_of,
)
from tests.web.tree import parse

PAGE = """<!doctype html><html><head><title>Cans - Test</title></head><body>
<h1>Can <bdi>H01</bdi></h1><p role="status">Done: sealed.</p>
<p>200&nbsp;L<br>in the shade</p><a href="/a?b=1&amp;c=2">More</a>
<form method="post" action="/cans/1/seal">
<input type="hidden" name="form_key" value="k1"><input name="on" value="1 &amp; 2">
<input type="radio" name="who" value="a"><input type="radio" name="who" value="b" checked>
<input type="checkbox" name="sure" value="yes"><textarea name="why">A &lt;b</textarea>
<select name="soil"><option value="">Choose</option>
<option value="dry" selected>Dry</option></select>
<select name="can"><option value="1">1</option><option value="2">2</option></select>
<input type="submit" name="go" value="Go"><button name="how" value="now">Seal</button></form>
<form method="post" action="/tasks/1"><input type="hidden" name="said" value="done"></form>
<form method="post" action="/tasks/1"><input type="hidden" name="said" value="no"></form>
<div role="alert">1 thing to mend</div></body></html>"""


def test_a_form_is_sent_as_a_browser_would_send_it_unchanged() -> None:
    assert form_of(PAGE, "/cans/1/seal") == {
        "form_key": "k1",
        "on": "1 & 2",
        "who": "b",
        "why": "A <b",
        "soil": "dry",
        "can": "1",
    }


def test_two_forms_for_one_address_are_told_apart_by_a_value() -> None:
    assert form_of(PAGE, "/tasks/1", said="no") == {"said": "no"}


def test_a_form_that_is_not_there_is_named_with_those_that_are() -> None:
    with pytest.raises(
        AssertionError, match=r"no form for /gone .* \['/cans/1/seal', '/tasks/1'\]"
    ):
        form_of(PAGE, "/gone")


def test_words_in_one_line_stay_together_and_blocks_apart() -> None:
    shown = text_of(PAGE)

    assert shown.startswith("Can H01 Done: sealed. 200 L in the shade More")
    assert "Cans - Test" not in shown


def test_title_headings_links_and_lines_are_found_by_their_role() -> None:
    assert title_of(PAGE) == "Cans - Test"
    assert headings_of(PAGE, "h1") == ["Can H01"]
    assert links_of(PAGE) == {"More": "/a?b=1&c=2"}
    assert (result_of(PAGE), faults_of(PAGE)) == ("Done: sealed.", "1 thing to mend")


@pytest.mark.parametrize(
    ("html", "fault"),
    [
        pytest.param("<p><b>x</p></b>", "</p> closes <b>", id="crossed"),
        pytest.param("<main><p>x", "<p> stays open", id="open"),
        pytest.param('<p id="a" id="b">', "<p> has an attribute twice", id="doubled attribute"),
    ],
)
def test_broken_html_is_refused(html: str, fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        parse(html)


def test_a_link_to_a_heading_leads_to_all_that_stands_under_it() -> None:
    html = (
        '<h2 id="water">Water</h2><p>Two parts.</p><p id="by">From memory.</p>'
        '<section id="dose"><h2>A1</h2><p>21 L</p></section><h2 id="end">End</h2>'
    )

    assert said_under(html, "water") == "Water Two parts. From memory."
    assert said_under(html, "by") == "From memory."
    assert said_under(html, "dose") == "A1 21 L"
    assert said_under(html, "end") == "End"
    with pytest.raises(AssertionError, match="no place is called gone"):
        said_under(html, "gone")
