"""What a coordinator sees of a home's cans, and the cautions that everybody must know."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.agronomy.regimes import Regime
from tests.web.reading import post, result_of, text_of
from tests.web.tree import parse
from tests.world import World, enrol

FIFTEEN = [  # the trade's list of cautions, by its numbers, with what tells that each is there
    (1, ("sealed and carries the date of sealing", "never add fresh urine to a can that is rest")),
    (2, ("Do not use a can before its day",)),
    (3, ("one full month between the last urine and the harvest", "unpicked for a month")),
    (4, ("never on leaves, fruit or other parts", "10 to 20 cm from the stems", "cover or water")),
    (5, ("gloves", "soap", "keep children away", "never use the can or cup for food or water")),
    (6, ("wash, peel or cook it",)),
    (
        7,
        ("heavy rain or in the two days before it", "wet or steep", "25 m from wells and 5 m from"),
    ),
    (8, ("If faeces got into a can", "typhoid or a urinary infection", "six months")),
    (9, ("cancer treatment or hormones",)),
    (10, ("Salty or dry soil takes only half", "burnt leaf tips", "add compost")),
    (11, ("from about 3 to 7 g a litre", "stop if plants are dark and lush or burnt")),
    (12, ("Beans, peas and groundnuts bind their own nitrogen: give them none.",)),
    (13, ("no organic matter", "give compost and ash too")),
    (14, ("The local extension officer's advice overrides this plan.",)),
    (15, ("check the law and ask the buyer", "organic and export schemes often forbid")),
]


@pytest.mark.parametrize(
    ("regime", "ready"),
    [
        pytest.param(Regime.OWN_HOUSEHOLD, "Sunday 24 January 2027", id="own household"),
        pytest.param(Regime.GENERAL, "Tuesday 9 February 2027", id="general"),
        pytest.param(Regime.SOLD_ANY, "Monday 12 July 2027", id="sold"),
    ],
)
def test_the_page_of_a_can_shows_the_ready_day_for_who_eats_the_crop(
    world: World, client: FlaskClient, regime: Regime, ready: str
) -> None:
    """E8: sealed 2027-01-10; ready 2027-01-24 own household, 2027-02-09 general, 2027-07-12."""
    enrol(world, regime=regime, sealed_on=date(2027, 1, 10))

    shown = text_of(client.get("/containers/1").text)

    assert f"Sealed Sunday 10 January 2027 Ready day ready on {ready}" in shown
    assert f"ready on {ready}" in text_of(client.get("/containers").text)


def test_a_can_shows_its_ready_day_for_every_kind_of_eater(
    world: World, client: FlaskClient
) -> None:
    """E8: one can, sealed 2027-01-10; the household's own kind is marked."""
    enrol(world, sealed_on=date(2027, 1, 10))

    table = next(parse(client.get("/containers/1").text).every("tbody"))
    lines = [[cell.text for cell in row.every("th", "td")] for row in table.every("tr")]

    assert [line[2].removeprefix("Ready day: ready on ") for line in lines] == [
        "Sunday 24 January 2027",
        "Tuesday 9 February 2027",
        "Tuesday 9 February 2027",
        "Monday 12 July 2027",
    ]
    assert [line[0] for line in lines if "(this household)" in line[0]] == [
        "Only the own household (this household)"
    ]


def test_topping_up_on_day_10_of_30_makes_it_ready_on_day_40(
    world: World, client: FlaskClient
) -> None:
    """A8: sealed on 10 February 2027, topped up on the 20th: ready on 22 March, day 40."""
    enrol(world, sealed_on=date(2027, 2, 10))
    before = text_of(client.get("/containers/1").text)

    answer = post(client, "/containers/1", "/containers/1", what="refilled", when="today")
    html = client.get(answer.location).text

    assert "Ready day ready on Friday 12 March 2027" in before
    assert "so its rest starts anew: now ready on Monday 22 March 2027." in result_of(html)
    assert "Ready day ready on Monday 22 March 2027" in text_of(html)
    assert "resting" in text_of(client.get("/containers").text)


@pytest.mark.parametrize(("number", "words"), FIFTEEN, ids=[str(number) for number, _ in FIFTEEN])
def test_each_of_the_fifteen_cautions_is_on_the_page(
    client: FlaskClient, number: int, words: tuple[str, ...]
) -> None:
    """S1: each of the fifteen cautions stands under "Help and cautions", in every association."""
    shown = text_of(client.get("/cautions").text)

    assert (number, [part for part in words if part not in shown]) == (number, [])
