"""Every address alike: nobody gets in unasked, and looking changes nothing."""

from collections.abc import Iterator

import pytest
from flask.testing import FlaskClient
from werkzeug.routing import Rule

from tests.web.addresses import asks_of, is_open, rules
from tests.web.neighbours import dump_of
from tests.web.reading import headings_of
from tests.web.two_offices import Offices, two_offices


def behind_the_door(method: str) -> list[object]:
    """Return the addresses of a method that ask for a sign-in, as cases."""
    return [pytest.param(rule, id=rule.rule) for rule in rules(method) if not is_open(rule)]


@pytest.fixture(scope="module")
def offices(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Offices]:
    """An office with something behind every address; tests change nothing in it."""
    with two_offices(tmp_path_factory.mktemp("offices")) as made:
        yield made


@pytest.fixture
def stranger(offices: Offices) -> FlaskClient:
    """The browser of someone who has not signed in."""
    return offices.app.test_client()


@pytest.mark.parametrize("rule", behind_the_door("GET"))
def test_a_page_asks_a_stranger_to_sign_in_first(
    offices: Offices, stranger: FlaskClient, rule: Rule
) -> None:
    """ASVS 8.3.1: the way is kept, so that signing in leads there."""
    for ask in asks_of(offices.world, rule, "GET"):
        answer = stranger.get(ask.path)

        assert (answer.status_code, answer.location) == (303, f"/sign-in?next={ask.path}")


@pytest.mark.parametrize("rule", behind_the_door("POST"))
def test_a_form_of_a_stranger_is_kept_and_changes_nothing(
    offices: Offices, stranger: FlaskClient, rule: Rule
) -> None:
    """ASVS 8.3.1."""
    before = dump_of(offices.world, 1)

    for ask in asks_of(offices.world, rule, "POST"):
        answer = stranger.post(ask.path, data={"alias": "typed under a tree"})

        assert answer.status_code == 403, ask.path
        assert headings_of(answer.text, "h1") == ["Sign in"], ask.path
        assert 'value="typed under a tree"' in answer.text, ask.path

    assert dump_of(offices.world, 1) == before


@pytest.mark.parametrize("rule", behind_the_door("GET"))
def test_looking_at_a_page_changes_nothing(offices: Offices, rule: Rule) -> None:
    """ASVS 3.5.3."""
    before = dump_of(offices.world, 1)

    for ask in asks_of(offices.world, rule, "GET"):
        assert offices.client.get(ask.path).status_code == 200, ask.path

    assert dump_of(offices.world, 1) == before


@pytest.mark.parametrize("rule", behind_the_door("POST"))
def test_an_address_that_saves_cannot_be_looked_at_into_saving(
    offices: Offices, rule: Rule
) -> None:
    """ASVS 3.5.3: such an address has a page of its own, or takes forms only."""
    before = dump_of(offices.world, 1)

    for ask in asks_of(offices.world, rule, "POST"):
        answer = offices.client.get(ask.path, query_string={"confirmed": "yes", "on": "today"})

        assert answer.status_code in (200, 405), ask.path

    assert dump_of(offices.world, 1) == before
