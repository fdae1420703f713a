"""Texts about the season as a whole: collecting, stock, the seasons' water, why, and the end."""

import pytest

from service.messages.catalogue import Catalogue
from service.messages.filling import Values, Wording
from service.messages.kinds import KINDS
from service.messages.printing import ValueRefusedError
from service.messages.render import Reader, render
from service.messages.words import found_in

ENGLISH = Reader(language="en", fallback="en")
SHARED = Reader(language="en", fallback="en", wording=Wording(shared=True))

COLLECT: Values = {"n": 2, "day": "2027-02-13"}
RESULT: Values = {"plot": "A", "crop": "kale", "done": 5, "of": 7, "litres": 52.5}
WHY: Values = {
    "plot": "A",
    "next": "2027-04-08",
    "since": "2027-03-22",
    "harvest": "2027-06-15",
    "phone": "+255100000001",
}

TEXTS: dict[str, tuple[str, Values, str]] = {
    "start filling": (
        "collect",
        COLLECT,
        (
            "Everyone at home uses the jug. Empty it into can 2; shut the lid tight each "
            "time. Seal it when full, by Sat 13 Feb. Write the date on it, reply CAN 2"
        ),
    ),
    "seal by a day": (
        "seal_by",
        COLLECT,
        (
            "Please seal can 2 by Sat 13 Feb. Then it has rested in time. Shut the lid tight "
            "and write the date on it. Then reply CAN 2"
        ),
    ),
    "too late for the first": (
        "too_late",
        {"plot": "A", "code": "A2", "day": "2027-03-28"},
        (
            "Plot A: no can will be ready for the first dose. Pour nothing there yet. From A2"
            " on, about Sun 28 Mar, a can will be ready. We will text."
        ),
    ),
    "the season opens": (
        "season_opens",
        {"plot": "A", "crop": "kale"},
        (
            "Plot A, kale: doses start soon. Wear gloves if you can. Wash hands with soap. "
            "Keep children away. Last dose: a month before harvest."
        ),
    ),
    "own figures": (
        "season_result",
        RESULT,
        (
            "Plot A, kale: the season is over. Doses given: 5 of 7. Litres from the cans: "
            "52.5. These are your own figures. Thank you."
        ),
    ),
    "no can ready": (
        "no_can",
        {"code": "A2", "day": "2027-03-28", "plot": "A", "ready": "2027-04-02"},
        (
            "Plot A: no can is ready for A2 on Sun 28 Mar. Pour nothing there yet. A can will"
            " be ready on Fri 2 Apr. We will text you then."
        ),
    ),
    "no can, no day": (
        "no_can",
        {"code": "A2", "day": "2027-03-28", "plot": "A", "ready": None},
        (
            "Plot A: no can is ready for A2 on Sun 28 Mar. Pour nothing there yet. We do not "
            "know yet when one will be. Wait until we text."
        ),
    ),
    "rains": (
        "to_neat",
        {"order": ["A", "D"]},
        (
            "The rains are here. Plots A, D: from now on add no water. Pour in furrow 10-20 "
            "cm from stems, not on leaves; cover. Not before heavy rain."
        ),
    ),
    "dry season": (
        "to_water",
        {"order": ["A"], "ratio": 2},
        (
            "The dry season is here. Plots A: from now on add water. To each 1 L from the can"
            " add 2 L of water. Our texts give the litres."
        ),
    ),
    "go on after a burn": (
        "burn_on",
        {"plot": "A", "code": "A4", "day": "2027-04-08"},
        (
            "Plot A: thank you for waiting. Go on with A4 on Thu 8 Apr. Pour in furrow, not "
            "on leaves; cover. If leaves burn again, pour no more and tell us."
        ),
    ),
    "leave out after a burn": (
        "burn_on",
        {"plot": "A", "code": "A4", "day": None},
        (
            "Plot A: please leave out A4. Do not double the next dose. If leaves burn again, "
            "pour no more and tell us."
        ),
    ),
}


@pytest.mark.parametrize("case", TEXTS)
def test_a_text_of_the_season_reads_as_meant(catalogue: Catalogue, case: str) -> None:
    kind, values, expected = TEXTS[case]

    assert render(catalogue, kind, values, reader=ENGLISH).text == expected


@pytest.mark.parametrize(
    ("advice", "expected"),
    [
        pytest.param({"young": ["D", "A"]}, "Serve the young plots first: D, A.", id="young"),
        pytest.param("halve", "Some doses will be smaller, or left out.", id="half"),
        pytest.param("last", "The last dose will be left out.", id="last"),
        pytest.param("collect", "Please start one more can now.", id="collect"),
    ],
)
def test_what_to_do_about_short_stock_stands_in_its_text(
    catalogue: Catalogue, advice: object, expected: str
) -> None:
    values: Values = {"plot": "A", "short": 40.5, "advice": advice}

    assert render(catalogue, "short", values, reader=ENGLISH).text == (
        f"Plot A: the cans hold about 40.5 L too little for all doses. {expected} Our texts give "
        "the litres to pour."
    )


@pytest.mark.parametrize(
    "advice",
    [
        pytest.param("wait", id="unknown"),
        pytest.param("young", id="young without plots"),
        pytest.param({"last": ["A"]}, id="plots where none belong"),
        pytest.param({"young": []}, id="no plot"),
        pytest.param(None, id="nothing"),
    ],
)
def test_advice_of_the_wrong_shape_is_named(catalogue: Catalogue, advice: object) -> None:
    values: Values = {"plot": "A", "short": 40.5, "advice": advice}

    with pytest.raises(ValueRefusedError, match="short, field advice"):
        render(catalogue, "short", values, reader=ENGLISH)


@pytest.mark.parametrize(
    "wording",
    [
        pytest.param(Wording(discreet=True), id="neutral word"),
        pytest.param(Wording(what="green mix"), id="own word"),
        pytest.param(Wording(shared=True), id="shared phone"),
    ],
)
@pytest.mark.parametrize("day", ["2027-02-13", None], ids=["by a day", "no day"])
@pytest.mark.parametrize("language", ["en", "sw"])
def test_only_a_plainly_worded_home_reads_of_the_jug(
    catalogue: Catalogue, language: str, day: str | None, wording: Wording
) -> None:
    revealing = catalogue.languages[language].words.revealing
    values: Values = {"n": 2, "day": day}

    def told(worded: Wording) -> list[str]:
        reader = Reader(language=language, fallback=language, wording=worded)
        return found_in(render(catalogue, "collect", values, reader=reader).text, revealing)

    assert len(told(Wording())) == 1
    assert told(wording) == []


def test_without_a_day_the_can_is_sealed_when_it_is_full(catalogue: Catalogue) -> None:
    reader = Reader(language="en", fallback="en", wording=Wording(discreet=True))

    assert render(catalogue, "collect", {"n": 2, "day": None}, reader=reader).text == (
        "Keep filling can 2; shut the lid tight each time. Seal it when full. Write the date on "
        "it, reply CAN 2"
    )


@pytest.mark.parametrize("kind", ["season_opens", "season_result"])
def test_a_shared_phone_reads_no_crop(catalogue: Catalogue, kind: str) -> None:
    assert "kale" in render(catalogue, kind, RESULT, reader=ENGLISH).text
    assert "kale" not in render(catalogue, kind, RESULT, reader=SHARED).text


@pytest.mark.parametrize(
    ("kind", "reason"),
    [
        ("r_why_planting", "It counts from planting, Mon 22 Mar."),
        ("r_why_up", "It counts from Mon 22 Mar, when plants came up."),
        (
            "r_why_assumed",
            "We guess that plants come up on Mon 22 Mar. When they are up, reply A UP.",
        ),
        ("r_why_rain", "Rain moved it from Mon 22 Mar."),
        ("r_why_burn", "It waits because leaves were burnt on Mon 22 Mar."),
        ("r_why_gap", "Plants need some days after the dose of Mon 22 Mar."),
        ("r_why_stock", "No can is ready before Mon 22 Mar."),
    ],
)
def test_why_tells_the_day_its_reason_and_the_harvest(
    catalogue: Catalogue, kind: str, reason: str
) -> None:
    text = render(catalogue, kind, WHY, reader=ENGLISH).text

    assert text.startswith(f"Plot A: next dose Thu 8 Apr. {reason} ")
    assert text.endswith(" Harvest from Tue 15 Jun. Ask: +255100000001")


def test_every_reason_has_a_text_with_the_same_values() -> None:
    reasons = [kind for name, kind in KINDS.items() if name.startswith("r_why_")]

    assert len(reasons) == 7
    assert {kind.fields for kind in reasons} == {frozenset(WHY)}
    assert KINDS["r_why"].fields == frozenset(WHY) - {"since"}
