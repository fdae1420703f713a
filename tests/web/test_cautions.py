"""Help and cautions: what everybody must know, with its source, and the codes growers text."""

from flask.testing import FlaskClient

from service.agronomy.cautions import Occasion, caution_texts, cautions
from service.inbound.reply_codes import Context, DoseRef, Meaning, read_reply
from service.records.people import AssociationRow
from service.web.caution_words import CODES, GROUPS
from service.web.tongue import load_tongues
from tests.fresh import TEXTS
from tests.reply_vectors import RECEIVED_ON
from tests.web.reading import headings_of, text_of
from tests.world import World

HTML_MOST = 10_000  # bytes; with the style sheet the page stays under 15 kB
MEANINGS = [
    Meaning.DONE,
    Meaning.DONE,
    Meaning.NOT_DONE,
    Meaning.SOWN,
    Meaning.UP,
    Meaning.RAIN,
    Meaning.HARVEST,
    Meaning.SEALED,
    Meaning.WHY,
    Meaning.STOP,
]


def in_swahili(world: World) -> None:
    with world.services.sessions.begin() as session:
        session.get_one(AssociationRow, 1).language = "sw"


def meanings(language: str) -> list[Meaning]:
    tongue = load_tongues(TEXTS)[language]
    standing = Context(
        language=language,
        plots=("A",),
        open=(DoseRef(plot="A", number=3),),
        done=(),
        cans=(2,),
        received_on=RECEIVED_ON,
    )
    return [read_reply(tongue.say(code), standing).meaning for code, _ in CODES]


def test_every_caution_stands_there_with_its_source(client: FlaskClient) -> None:
    shown = text_of(client.get("/cautions").text)

    assert [each.id for each in cautions() if each.text not in shown] == []
    assert [each.id for each in cautions() if each.origin.source not in shown] == []


def test_a_caution_from_memory_says_so(client: FlaskClient) -> None:
    assert (
        "Do not collect from people on strong medicine such as cancer treatment or hormones."
        " From memory, not looked up: Precaution" in text_of(client.get("/cautions").text)
    )


def test_cautions_stand_under_when_they_hold(client: FlaskClient) -> None:
    html = client.get("/cautions").text
    shown = text_of(html)
    poor, cold = shown.index("Where the soil is salty"), shown.index("Where the store is cold")

    assert headings_of(html, "h2")[1:3] == ["Before you start", "Always"]
    assert poor < shown.index("Salty or dry soil takes only half") < cold


def test_every_occasion_of_a_caution_has_its_heading() -> None:
    assert GROUPS.keys() == set(Occasion)


def test_local_advice_and_the_clinic_go_before_the_page(client: FlaskClient) -> None:
    shown = text_of(client.get("/cautions").text)

    assert "The local extension officer's advice overrides this plan." in shown
    assert "Before you start, ask the clinic" in shown
    assert "the local office which rules hold" in shown


def test_what_is_asked_before_starting_is_no_part_of_a_plan() -> None:
    for_the_page = {Occasion.LEGUME, Occasion.BEFORE_STARTING}

    said = caution_texts(set(Occasion) - for_the_page)

    assert [each.id for each in cautions() if each.text not in said] == ["legumes", "clinic"]


def test_the_codes_are_what_growers_texts_are_read_by() -> None:
    assert meanings("en") == MEANINGS
    assert meanings("sw") == MEANINGS


def test_each_code_is_explained(client: FlaskClient) -> None:
    shown = text_of(client.get("/cautions").text)

    assert "A3 2 Dose 3 on plot A was done two days ago." in shown
    assert "CAN 2 Can 2 was sealed today." in shown


def test_codes_are_also_shown_in_the_language_of_the_texts(
    world: World, client: FlaskClient
) -> None:
    in_swahili(world)

    assert "A3 NO or A3 HAPANA Dose 3 on plot A was not done." in text_of(
        client.get("/cautions").text
    )


def test_the_page_is_light(world: World, client: FlaskClient) -> None:
    in_swahili(world)

    assert len(client.get("/cautions").data) <= HTML_MOST
