"""The length of every text against two unrelated codecs, and days against CLDR's own names."""

from pathlib import Path

import gsmcodecs  # noqa: F401 -- registers the codec
import pytest
from babel import Locale
from gsm0338 import Codec

from gateway_adapters.contract import Encoding
from gateway_adapters.segments import split
from service.messages.catalogue import Catalogue
from service.messages.filling import PLAIN, fill
from service.messages.kinds import KINDS
from service.messages.worst import WorstCase, worst_cases

LOCALES = Path(__file__).resolve().parents[2] / "locales"


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return Catalogue.load(LOCALES)


def _longest(catalogue: Catalogue, language: str, kind: str) -> list[WorstCase]:
    crops = frozenset(catalogue.languages["en"].named("crop."))
    return list(worst_cases(catalogue.languages[language], KINDS[kind], crops=crops))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("language", ["en", "sw"])
def test_two_other_codecs_count_the_same_septets(
    catalogue: Catalogue, language: str, kind: str
) -> None:
    """By gsmcodecs 1.0.0 (3GPP TS 23.038, release 18) and gsm0338 1.1.0.

    160 septets fill one segment, 153 each of several (3GPP TS 23.040, 9.2.3.24.1).
    """
    cases = _longest(catalogue, language, kind)

    assert cases
    for case in cases:
        segments = split(case.text)
        theirs = len(case.text.encode("gsm23.038"))
        assert segments.encoding is Encoding.GSM7
        assert segments.length == theirs == len(Codec().encode(case.text)[0])
        assert theirs <= (160 if case.room == 1 else 153 * case.room)


@pytest.mark.parametrize(
    ("language", "day", "printed"),
    [
        pytest.param("en", "2027-03-28", "Sun 28 Mar", id="English"),
        pytest.param("en", "2027-09-08", "Wed 8 Sept", id="English, long month"),
        pytest.param("sw", "2027-03-28", "Jumapili 28 Mac", id="Swahili"),
        pytest.param("sw", "2027-11-29", "Jumatatu 29 Nov", id="Swahili, long day"),
    ],
)
def test_days_are_written_as_cldr_names_them(
    catalogue: Catalogue, language: str, day: str, printed: str
) -> None:
    """Weekday and month by the CLDR data in Babel 2.18.0; the weekdays from memory, by calendar."""
    locale = Locale.parse(f"{language}_TZ")
    weekday, _, month = printed.split()

    text = fill(
        catalogue.languages[language], KINDS["r_again"], {"code": "A3", "day": day}, wording=PLAIN
    )

    assert f" {printed}." in text
    assert weekday in locale.days["format"]["abbreviated"].values()
    assert month in locale.months["format"]["abbreviated"].values()


@pytest.mark.parametrize("language", ["en", "sw"])
def test_the_longest_day_is_as_long_as_the_days_of_all_locales_names(
    catalogue: Catalogue, language: str
) -> None:
    """By the CLDR names in Babel 2.18.0: the longest weekday, two digits, the longest month."""
    locale = catalogue.languages[language].locale
    weekday = max(map(len, locale.days["format"]["abbreviated"].values()))
    month = max(map(len, locale.months["format"]["abbreviated"].values()))

    text = next(case.text for case in _longest(catalogue, language, "r_harvest"))
    template = catalogue.languages[language].texts["r_harvest"]

    assert len(text) == len(template.replace("$plot", "W").replace("$day", "")) + (
        weekday + len(" 10 ") + month
    )
