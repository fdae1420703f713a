"""What another association has is as if it were not there, on every page and in every form."""

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import parse_qsl, urlencode, urlsplit

import pytest
from werkzeug.routing import Rule

from tests.web.addresses import asks, asks_of, is_open, names_a_thing, rules
from tests.web.neighbours import AWAY, MARK, crossings, dump_of
from tests.web.reading import Fields, addresses_of
from tests.web.two_offices import Offices, two_offices

MISSING = 987_654
PAGES = [pytest.param(rule, id=rule.rule) for rule in rules("GET") if not is_open(rule)]


def things(method: str) -> list[object]:
    """Return the addresses of a method that hold an id, as cases."""
    return [pytest.param(rule, id=rule.rule) for rule in rules(method) if names_a_thing(rule)]


@pytest.fixture(scope="module")
def offices(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Offices]:
    """Two associations; tests ask for what is not theirs and change nothing."""
    with two_offices(tmp_path_factory.mktemp("offices")) as made:
        yield made


@pytest.fixture
def own_offices(tmp_path: Path) -> Iterator[Offices]:
    """Two associations for one test alone, which changes the first."""
    with two_offices(tmp_path) as made:
        yield made


def foreign_and_missing(offices: Offices, rule: Rule, method: str) -> list[tuple[str, str]]:
    """Return the other association's addresses, each beside one that nobody has."""
    asked = asks_of(offices.world, rule, method, association_id=2)
    pairs = []
    for ask in asked:
        parts = ask.path.split("/")
        missing = [str(MISSING) if part.isdigit() else part for part in parts]
        pairs.append((ask.path, "/".join(missing)))
    return pairs


@pytest.mark.parametrize("rule", things("GET"))
def test_a_page_of_the_others_is_missing_like_any_other(offices: Offices, rule: Rule) -> None:
    for foreign, missing in foreign_and_missing(offices, rule, "GET"):
        asked, never = offices.client.get(foreign), offices.client.get(missing)

        assert (asked.status_code, asked.text) == (404, never.text), foreign
        assert never.status_code == 404


@pytest.mark.parametrize("rule", things("POST"))
def test_a_form_for_the_others_is_missing_and_changes_nothing(offices: Offices, rule: Rule) -> None:
    before = dump_of(offices.world, 1), dump_of(offices.world, 2)
    bare = offices.token()
    full = [form.fields for form in offices.forms() if form.endpoint == rule.endpoint]

    for foreign, missing in foreign_and_missing(offices, rule, "POST"):
        for fields in (bare, *(each | bare for each in full)):
            asked, never = offices.send(foreign, fields), offices.send(missing, fields)

            assert (asked.status_code, asked.text) == (404, never.text), (foreign, fields)
            assert never.status_code == 404

    assert (dump_of(offices.world, 1), dump_of(offices.world, 2)) == before


@pytest.mark.parametrize("rule", PAGES)
def test_no_page_shows_anything_of_the_others(offices: Offices, rule: Rule) -> None:
    for ask in asks_of(offices.world, rule, "GET"):
        answer = offices.client.get(ask.path)

        assert answer.status_code == 200, ask.path
        assert MARK not in answer.text, ask.path


def test_the_others_ids_behind_a_question_mark_show_nothing(offices: Offices) -> None:
    for address in sorted(asked_with_an_id(offices)):
        answer = offices.client.get(address)

        assert answer.status_code < 500, address
        assert MARK not in answer.text, address


def asked_with_an_id(offices: Offices) -> set[str]:
    """Return the links that ask for a thing behind a question mark, asking for the others'."""
    found = set()
    for ask in asks(offices.world):
        answer = offices.client.get(ask.path)
        for link in addresses_of(answer.text) if answer.mimetype == "text/html" else []:
            parts = urlsplit(link)
            asked = moved(dict(parse_qsl(parts.query)))
            if asked:
                found.add(f"{parts.path}?{urlencode(asked)}")
    return found


def moved(fields: Fields) -> Fields | None:
    """Return the fields with the others' ids in place of our own; None where they hold none."""
    away = {name: str(int(value) + AWAY) for name, value in fields.items() if value.isdigit()}
    return fields | away if away else None


def test_the_others_ids_in_a_field_of_a_form_reach_nothing(own_offices: Offices) -> None:
    before = dump_of(own_offices.world, 2)

    for form in own_offices.forms():
        for name, value in form.fields.items():
            asked = moved({name: value})
            if asked is not None:
                answer = own_offices.send(form.path, form.fields | asked)
                assert answer.status_code < 500, (form.path, asked)
                assert MARK not in answer.text, (form.path, asked)

    assert dump_of(own_offices.world, 2) == before
    assert crossings(own_offices.world) == []


def test_the_crawl_has_something_to_find(offices: Offices) -> None:
    assert {len(rows) for rows in dump_of(offices.world, 2).values()} != {0}
    assert len(offices.forms()) > 5
    assert crossings(offices.world) == []
