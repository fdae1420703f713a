"""What every text must keep to, read off the texts as growers get them at their longest."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from gateway_adapters.contract import Encoding
from gateway_adapters.segments import split
from service.messages.catalogue import Catalogue
from service.messages.filling import Wording, fill
from service.messages.kinds import KINDS, TEXT_FIELDS
from service.messages.words import found_in
from service.messages.worst import WorstCase, worst_cases, worst_values

LOCALES = Path(__file__).resolve().parents[2] / "locales"
LANGUAGES = ("en", "sw")

KEYWORDS = {
    "en": "YES NO UP SOWN CAN HARVEST STOP START HELP",
    "sw": "NDIYO HAPANA OTA PANDA DUMU VUNA ACHA ANZA MSAADA",
}

# From memory, apart from the lists that the texts are checked with when they are read.
REVEALING = {
    "en": ["urine", "pee", "wee", "toilet", "latrine", "bladder"],
    "sw": ["mkojo", "kojo", "choo", "haja", "msala"],
}
ASKING = {
    "en": ["airtime", "money", "pay", "pin", "password", "secret", "credit", "bank", "send us"],
    "sw": ["vocha", "pesa", "lipa", "fedha", "pin", "nenosiri", "siri", "salio", "benki"],
}
BLAME = {
    "en": ["missed", "forgot", "failed", "late", "lazy", "fault", "wrong", "must", "warning"],
    "sw": ["umekosa", "umesahau", "umechelewa", "mvivu", "kosa", "lazima", "onyo", "adhabu"],
}


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return Catalogue.load(LOCALES)


def _longest(catalogue: Catalogue, language: str, kind: str) -> Iterator[WorstCase]:
    crops = frozenset(catalogue.languages["en"].named("crop."))
    yield from worst_cases(catalogue.languages[language], KINDS[kind], crops=crops)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_every_text_fits_at_its_longest(catalogue: Catalogue, language: str, kind: str) -> None:
    """M5: one segment each, two for a digest, in GSM-7, with no placeholder left."""
    cases = list(_longest(catalogue, language, kind))

    assert {case.name for case in cases} == KINDS[kind].text_ids().keys()
    for case in cases:
        segments = split(case.text)
        assert segments.encoding is Encoding.GSM7
        assert len(segments.parts) <= (2 if kind in {"digest", "digest_rain"} else 1)
        assert "$" not in case.text


@pytest.mark.parametrize("kind", ["dose", "dose_rain", "repeat", "moved"])
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("shared", [False, True], ids=["own phone", "shared phone"])
def test_amounts_codes_and_days_are_never_cut(
    catalogue: Catalogue, language: str, kind: str, *, shared: bool
) -> None:
    """M5: the longest amounts, code and day stand whole in the text."""
    words = catalogue.languages[language]
    values = worst_values(words, KINDS[kind])

    text = fill(words, KINDS[kind], values, wording=Wording(shared=shared, what="m" * 12))

    numbers = re.findall(r"\d+(?:\.\d+)?", text)
    assert "37.5" in numbers
    assert ("112.5" in numbers) is ("water" in KINDS[kind].fields)
    assert re.search(r"\bW9\b", text)
    day = {"en": r"\b[A-Z][a-z]{2} 1\d Sept\b", "sw": r"\bJuma[a-z]{4,5} 1\d [A-Z][a-z]{2}\b"}
    assert bool(re.search(day[language], text)) is ("day" in KINDS[kind].fields)


@pytest.mark.parametrize("name", TEXT_FIELDS)
def test_both_languages_name_the_same_fields(catalogue: Catalogue, name: str) -> None:
    """M5: nothing that the English text tells is left out of the Swahili one."""
    english, swahili = (
        sorted(set(re.findall(r"\$(\w+)", catalogue.languages[code].texts[name])))
        for code in LANGUAGES
    )

    assert english == swahili
    assert catalogue.languages["en"].texts[name] != catalogue.languages["sw"].texts[name]


@pytest.mark.parametrize("language", LANGUAGES)
def test_texts_ask_for_the_languages_own_reply_words(catalogue: Catalogue, language: str) -> None:
    """M5: keys and words to reply with are whole and are words of the language."""
    shouted = {
        word
        for text in catalogue.languages[language].texts.values()
        for word in re.findall(r"\b[A-Z]{2,}\b", text)
    }

    assert shouted - {"SMS"} == set(KEYWORDS[language].split())


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_text_asks_for_money_airtime_or_a_secret(
    catalogue: Catalogue, language: str, kind: str
) -> None:
    """S5: no word of airtime, money, PIN or password, in any form of any text."""
    cases = list(_longest(catalogue, language, kind))

    assert cases
    assert [found for case in cases if (found := found_in(case.text, ASKING[language]))] == []


@pytest.mark.parametrize("kind", ["consent", "welcome", "join_ok", "stop_ok"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_texts_about_the_agreement_carry_the_groups_name(
    catalogue: Catalogue, language: str, kind: str
) -> None:
    """S5: the name agreed at consent stands in the invitation, the welcome and the farewell."""
    words = catalogue.languages[language]
    values = {**worst_values(words, KINDS[kind]), "group": "Kijanibora Growers"}

    assert "Kijanibora Growers" in fill(words, KINDS[kind], values, wording=Wording())


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_text_blames(catalogue: Catalogue, language: str, kind: str) -> None:
    """S6: late or left out is never scolded."""
    cases = list(_longest(catalogue, language, kind))

    assert cases
    assert [found for case in cases if (found := found_in(case.text, BLAME[language]))] == []


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(
    "wording",
    [
        pytest.param(Wording(discreet=True), id="neutral word"),
        pytest.param(Wording(what="rutubisho"), id="own word"),
        pytest.param(Wording(shared=True), id="shared phone"),
    ],
)
def test_neutral_wording_gives_nothing_away(
    catalogue: Catalogue, language: str, kind: str, wording: Wording
) -> None:
    """E12: no text of the season holds a word that says what is in the can."""
    words = catalogue.languages[language]
    values = {**worst_values(words, KINDS[kind]), **_jobs_of(kind)}

    text = fill(words, KINDS[kind], values, wording=wording)

    assert found_in(text, REVEALING[language]) == []
    assert found_in(fill(words, KINDS["last"], _last(), wording=Wording()), REVEALING[language])


def _jobs_of(kind: str) -> dict[str, object]:
    job = {"label": None, "code": "A3", "urine": 6, "water": 18}
    return {"jobs": [job]} if kind.startswith("digest") else {}


def _last() -> dict[str, object]:
    """Return values of a text that does say it, when no neutral wording was chosen."""
    return {"code": "A7", "crop": "kale", "plot": "A", "harvest": "2027-06-15"}
