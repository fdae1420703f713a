"""Before the fourth dose every household has met each caution, however it is written to."""

from collections.abc import Iterable

import pytest

from service.messages.catalogue import Catalogue
from service.messages.filling import Values, Wording
from service.messages.render import Reader, render

# How each caution is told, one of the wordings a language; the Swahili ones from memory.
CAUTIONS = {
    "gloves": {"en": ["gloves"], "sw": ["glavu"]},
    "soil only": {"en": ["not on leaves", "not leaves", "off leaves"], "sw": ["mferejini"]},
    "cover": {"en": ["cover"], "sw": ["funika"]},
    "a month": {"en": ["a month before harvest"], "sw": ["mwezi kabla ya kuvuna"]},
    "wash hands": {"en": ["wash hands with soap"], "sw": ["nawa mikono kwa sabuni"]},
}

WORDINGS = {
    "plain": Wording(),
    "neutral word": Wording(discreet=True),
    "own word": Wording(what="green mix"),
    "shared phone": Wording(shared=True),
}

OPENING: Values = {"plot": "A", "crop": "kale"}


def _dose(number: int, *, can: list[int] | None) -> Values:
    return {
        "day": f"2027-04-0{number}",
        "crop": "kale",
        "plot": "A",
        "urine": 6,
        "water": 18,
        "per": {"cups": 2, "plants": 5},
        "tip": number,
        "code": f"A{number}",
        "can": can,
    }


def _digest(number: int, *, can: list[int] | None) -> Values:
    jobs = [
        {"label": None, "code": f"{letter}{number}", "urine": 6, "water": 18} for letter in "AD"
    ]
    return {"day": f"2027-04-0{number}", "jobs": jobs, "can": can}


def _texts(
    catalogue: Catalogue, reader: Reader, kinds: Iterable[str], *, can: list[int] | None
) -> list[str]:
    texts = [render(catalogue, "season_opens", OPENING, reader=reader).text]
    for number, kind in enumerate(kinds, start=1):
        values = (_digest if kind.startswith("digest") else _dose)(number, can=can)
        texts.append(render(catalogue, kind, values, reader=reader).text)
    return texts


def _lost(text: str, language: str) -> list[str]:
    told = text.casefold()
    return [
        caution
        for caution, words in CAUTIONS.items()
        if not any(word in told for word in words[language])
    ]


@pytest.mark.parametrize("can", [None, [2]], ids=["one can", "can named"])
@pytest.mark.parametrize(
    "kinds",
    [
        pytest.param(("dose",) * 3, id="with water"),
        pytest.param(("dose_rain",) * 3, id="in the rains"),
        pytest.param(("dose", "dose_assumed", "dose_assumed"), id="not known up"),
        pytest.param(("dose_rain", *("dose_rain_assumed",) * 2), id="not known up, in the rains"),
        pytest.param(("digest",) * 3, id="several plots"),
        pytest.param(("digest_rain",) * 3, id="several plots, in the rains"),
    ],
)
@pytest.mark.parametrize("wording", WORDINGS)
@pytest.mark.parametrize("language", ["en", "sw"])
def test_each_caution_is_met_before_the_fourth_dose(
    catalogue: Catalogue, language: str, wording: str, kinds: tuple[str, ...], can: list[int] | None
) -> None:
    reader = Reader(language=language, fallback=language, wording=WORDINGS[wording])

    texts = _texts(catalogue, reader, kinds, can=can)

    assert _lost(" ".join(texts), language) == []


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", ["gloves", "soap", "children", "month"]),
        ("sw", ["glavu", "sabuni", "watoto", "mwezi"]),
    ],
)
@pytest.mark.parametrize("wording", WORDINGS)
def test_the_seasons_opening_tells_what_the_dose_texts_have_no_room_for(
    catalogue: Catalogue, language: str, wording: str, words: list[str]
) -> None:
    reader = Reader(language=language, fallback=language, wording=WORDINGS[wording])

    text = render(catalogue, "season_opens", OPENING, reader=reader).text.casefold()

    assert [word for word in words if word not in text] == []


@pytest.mark.parametrize("kind", ["dose", "dose_rain", "dose_assumed", "dose_rain_assumed"])
@pytest.mark.parametrize("wording", WORDINGS)
@pytest.mark.parametrize("language", ["en", "sw"])
def test_every_dose_text_says_to_keep_to_the_soil_and_to_cover(
    catalogue: Catalogue, language: str, wording: str, kind: str
) -> None:
    reader = Reader(language=language, fallback=language, wording=WORDINGS[wording])

    text = render(catalogue, kind, _dose(4, can=[2]), reader=reader).text

    assert not {"soil only", "cover"} & set(_lost(text, language))
