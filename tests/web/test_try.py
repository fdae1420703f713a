"""Try a reply: what a text would mean, in a situation typed or recorded; nothing is changed."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.records.traffic import InboundRow
from tests.web.homes import bare_home
from tests.web.reading import faults_of, form_of, headings_of, post, result_of, text_of
from tests.world import Enrolled, World, enrol
from tests.world_looks import messages, rows


def tried(client: FlaskClient, text: str, **fields: str) -> str:
    """Type a text and press the button; return what the page says of it."""
    answer = post(client, "/try", "/try", text=text, **fields)
    assert answer.status_code == 200, faults_of(answer.text)
    return result_of(answer.text)


@pytest.fixture
def enrolled(world: World) -> Enrolled:
    """A Swahili household whose third dose is open on 4 April."""
    made = enrol(world, language="sw")
    world.tick("2027-04-03T18:00")
    return made


def test_the_page_asks_for_a_text(client: FlaskClient) -> None:
    assert headings_of(client.get("/try").text, "h1") == ["What would this text mean?"]


def test_typing_a_text_alone_is_enough(client: FlaskClient) -> None:
    said = tried(client, "a3")

    assert "It means: A3 was done today." in said
    assert "Noted, thank you: A3 done …. Next dose on plot A is about …" in said
    assert "Nothing was recorded or sent." in said


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        pytest.param("A3 no", "A3 is not done.", id="not done"),
        pytest.param("A3 D2", "A3, D2 were done today.", id="two doses"),
        pytest.param("A2", "A2: done, as noted before.", id="noted before"),
        pytest.param("D up 2", "Most plants on plot D were up on", id="up two days ago"),
        pytest.param("can 3 1", "Can 3 was sealed yesterday.", id="a can"),
        pytest.param("A sown", "Plot A was sown or planted out today.", id="sown"),
        pytest.param("A harvest", "Plot A was harvested today.", id="harvest"),
        pytest.param("A rain", "Heavy rain on plot A", id="rain"),
        pytest.param("A burn", "Leaves are burnt on plot A", id="burnt leaves"),
        pytest.param("why A", "They ask why plot A", id="why"),
        pytest.param("STOP", "All texts to this phone stop at once.", id="stop"),
        pytest.param("start", "Texts to this phone start.", id="start"),
        pytest.param("help", "They ask for help.", id="help"),
        pytest.param("join", "They want to join.", id="join"),
        pytest.param("thanks", "Only thanks: nothing happens.", id="thanks"),
        pytest.param("voicemail. Dial 123", "A machine wrote it", id="a machine"),
        pytest.param("done", "must read it. It does not say which dose", id="to be read"),
    ],
)
def test_a_meaning_is_said_in_words(client: FlaskClient, text: str, meaning: str) -> None:
    assert meaning in tried(client, text, language="en")


@pytest.mark.parametrize("text", ["thanks", "voicemail. Dial 123"])
def test_what_gets_no_answer_says_so(client: FlaskClient, text: str) -> None:
    assert "The grower would get no answer." in tried(client, text)


def test_each_dose_is_answered_by_itself(client: FlaskClient) -> None:
    assert tried(client, "A3 D2").count("Noted, thank you:") == 2


def test_the_answer_is_in_the_growers_language(client: FlaskClient) -> None:
    page = post(client, "/try", "/try", text="MSAADA", language="sw").text

    assert '<blockquote lang="sw">MSAADA</blockquote>' in page
    assert "A3 HAPANA" in result_of(page)


def test_a_shared_phone_makes_a_bare_yes_unsure(client: FlaskClient) -> None:
    alone = tried(client, "yes", open="A3")
    shared = tried(client, "yes", open="A3, D2", shared="yes")

    assert "A3 was done today" in alone
    assert "Several homes share this phone" in shared


@pytest.mark.usefixtures("enrolled")
def test_a_households_code_brings_its_recorded_situation(client: FlaskClient) -> None:
    said = tried(client, "A3 tayari", household="h01", open="", done="A3")
    refused = tried(client, "D2", household="H01")

    assert "A3 was done" in said
    assert "This phone has no plot with this letter." in refused


@pytest.mark.usefixtures("enrolled")
def test_trying_changes_nothing(client: FlaskClient, world: World) -> None:
    before = [(row.id, row.state) for row in messages(world)]
    tried(client, "STOP", household="H01")
    tried(client, "A3", household="H01")

    assert rows(world, InboundRow) == []
    assert [(row.id, row.state) for row in messages(world)] == before


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        pytest.param({"text": ""}, "Text: Fill this in.", id="no text"),
        pytest.param({"plots": "A, B"}, "Write letters out of A D G J", id="no such letter"),
        pytest.param({"open": "G1"}, "Write a letter of a plot above", id="a plot not named"),
        pytest.param({"open": "A10"}, "Write a letter of a plot above", id="no such dose"),
        pytest.param({"done": "A3"}, "as open or as done", id="a dose in both lists"),
        pytest.param({"cans": "x"}, "Write the numbers of the cans", id="no can's number"),
        pytest.param({"received": "3/27/2027"}, "Type the date like", id="month first"),
        pytest.param({"language": "xx"}, "Choose one of this list.", id="no such language"),
        pytest.param({"household": "H99"}, "No household has this code.", id="no such home"),
        pytest.param({"household": "001"}, "This household has no phone.", id="no phone"),
    ],
)
def test_what_cannot_be_is_refused_and_all_that_was_typed_stays(
    client: FlaskClient, world: World, fields: dict[str, str], fault: str
) -> None:
    bare_home(world, code="001")
    sent = {"text": "A3 perhaps", "cans": "3", **fields}
    answer = post(client, "/try", "/try", **sent)
    kept = form_of(answer.text, "/try")

    assert answer.status_code == 422
    assert fault in faults_of(answer.text)
    assert {name: kept[name] for name in sent if name != "language"} == {
        name: value for name, value in sent.items() if name != "language"
    }
    assert "Nothing was recorded or sent." not in text_of(answer.text)


def test_the_day_is_today_at_first_and_counts_for_days_ago(
    client: FlaskClient, world: World
) -> None:
    world.tick("2027-03-19T09:00")
    page = client.get("/try").text
    said = tried(client, "A3 Thursday", received="19 March 2027")

    assert form_of(page, "/try")["received"] == "19 March 2027"
    assert "A3 was done yesterday" in said
    assert date(2027, 3, 19).weekday() == 4


def test_a_visitor_is_asked_to_sign_in(visitor: FlaskClient) -> None:
    assert visitor.get("/try").status_code == 303
    assert visitor.get("/reading").status_code == 303
