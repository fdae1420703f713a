"""Tables of figures are refused as a whole for one wrong key or value."""

import pytest

from service.agronomy.tables import Found, Group, Origin, TableError, read_tables

ORIGIN = {"source": "a leaflet", "found": "read"}


def test_a_group_knows_its_source() -> None:
    group = Group("here", {"days": 3, **ORIGIN}, frozenset({"days"}))

    assert group.origin == Origin(source="a leaflet", found=Found.READ)
    assert group.whole("days") == 3


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        pytest.param(7, "here: write a table here, with days.", id="no table"),
        pytest.param({**ORIGIN}, "here: add days.", id="missing key"),
        pytest.param({"days": 1, "found": "read"}, "here: add source.", id="missing source"),
        pytest.param(
            {"days": 1, "weeks": 2, **ORIGIN},
            "here: take out weeks, nothing reads it.",
            id="unknown key",
        ),
        pytest.param(
            {"days": 1, "source": "a leaflet", "found": "hearsay"},
            "here: found must be one of computed, local, memory, package, read.",
            id="unknown way of finding",
        ),
        pytest.param(
            {"days": 1, "source": " ", "found": "read"},
            "here: source must be a text that is not empty.",
            id="empty source",
        ),
    ],
)
def test_a_group_with_a_wrong_key_is_refused(raw: object, sentence: str) -> None:
    with pytest.raises(TableError) as refused:
        Group("here", raw, frozenset({"days"}))

    assert refused.value.sentence == sentence


@pytest.mark.parametrize("value", [-1, 1.5, True, "3", None], ids=repr)
def test_a_whole_number_must_be_one(value: object) -> None:
    group = Group("here", {"days": value, **ORIGIN}, frozenset({"days"}))

    with pytest.raises(TableError, match=r"here: days must be a whole number from 0 up\."):
        group.whole("days")


@pytest.mark.parametrize("value", [-0.1, float("nan"), False, "3"], ids=repr)
def test_a_number_must_be_one(value: object) -> None:
    group = Group("here", {"litres": value, **ORIGIN}, frozenset({"litres"}))

    with pytest.raises(TableError, match=r"here: litres must be a number from 0 up\."):
        group.number("litres")


@pytest.mark.parametrize("value", [3, [1, "2"], [True], [7, -1]], ids=repr)
def test_a_list_must_hold_whole_numbers(value: object) -> None:
    group = Group("here", {"days": value, **ORIGIN}, frozenset({"days"}))

    with pytest.raises(TableError, match=r"here: days must be a list of whole numbers from 0 up\."):
        group.wholes("days")


def test_a_flag_must_be_true_or_false() -> None:
    group = Group("here", {"legume": 1, **ORIGIN}, frozenset({"legume"}))

    with pytest.raises(TableError, match=r"here: legume must be true or false\."):
        group.flag("legume")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        pytest.param("[maize", "a.toml is not valid TOML: ", id="no TOML"),
        pytest.param("days = 3", "a.toml: days stands alone; put it into a table.", id="alone"),
    ],
)
def test_a_text_without_tables_is_refused(text: str, sentence: str) -> None:
    with pytest.raises(TableError) as refused:
        read_tables("a.toml", text)

    assert refused.value.sentence.startswith(sentence)
