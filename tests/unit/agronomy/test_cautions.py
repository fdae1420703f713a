"""The cautions that go with a plan."""

import pytest

from service.agronomy.cautions import Occasion, caution_texts, cautions, load_cautions
from service.agronomy.tables import TableError

ROW = '[a]\ntext = "Wash."\nwhen = "always"\nsource = "a leaflet"\nfound = "read"\n'


def test_some_cautions_are_always_said() -> None:
    said = caution_texts([])

    assert len(said) == sum(caution.when is Occasion.ALWAYS for caution in cautions())
    assert said[-1] == "The local extension officer's advice overrides this plan."


@pytest.mark.parametrize(
    ("occasion", "words"),
    [
        pytest.param(Occasion.SOLD, "ask the buyer", id="sold"),
        pytest.param(Occasion.OWN_HOUSEHOLD, "common practice", id="own household"),
        pytest.param(Occasion.EATEN_RAW, "wash, peel or cook", id="raw"),
        pytest.param(Occasion.POOR_SOIL, "takes only half", id="poor soil"),
        pytest.param(Occasion.COLD_STORE, "colder than 20 degrees", id="cold store"),
        pytest.param(Occasion.ASSUMED_EMERGENCE, "is assumed", id="assumed"),
        pytest.param(Occasion.TINY_SEED, "no dose at sowing", id="tiny seed"),
    ],
)
def test_other_cautions_are_said_on_their_occasion(occasion: Occasion, words: str) -> None:
    added = set(caution_texts([occasion])) - set(caution_texts([]))

    assert [words in text for text in added] == [True]


def test_a_caution_keeps_its_source() -> None:
    assert load_cautions(ROW)[0].origin.source == "a leaflet"


def test_an_unknown_occasion_stops_the_load() -> None:
    with pytest.raises(
        TableError, match=r"cautions\.toml, a: when must be one of always, assumed-"
    ):
        load_cautions(ROW.replace("always", "sometimes"))
