"""A page's language: its sentences and how it writes values."""

from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from service.errors import SettingsError
from service.web.sentence import sentence
from service.web.tongue import Tongue, load_tongues

HEAD = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n'
PLURALS = '"Plural-Forms: nplurals=2; plural=(n != 1);\\n"\n'
SWAHILI = f"""{HEAD}{PLURALS}
msgid "Saved."
msgstr "Imehifadhiwa."

msgid "Due on %(day)s: %(litres)s L of %(share)s%%."
msgstr "%(litres)s L ya %(share)s%% siku ya %(day)s."

#, fuzzy
msgid "Not sure."
msgstr "Labda."

msgid "Not done yet."
msgstr ""

msgid "%(num)d thing"
msgid_plural "%(num)d things"
msgstr[0] "kitu %(num)d"
msgstr[1] "vitu %(num)d"

msgid "%(num)d can"
msgid_plural "%(num)d cans"
msgstr[0] "dumu %(num)d"
msgstr[1] ""
"""
SATURDAY = date(2027, 3, 27)


@pytest.fixture
def texts(tmp_path: Path) -> Path:
    """A folder of texts with Swahili pages, and a language without pages."""
    (tmp_path / "sw" / "pages").mkdir(parents=True)
    (tmp_path / "sw" / "pages" / "a.po").write_text(SWAHILI, encoding="utf-8")
    (tmp_path / "fr").mkdir()
    (tmp_path / "fr" / "texts.po").write_text(HEAD)
    return tmp_path


@pytest.fixture
def swahili(texts: Path) -> Tongue:
    """Swahili as its folder says it."""
    return load_tongues(texts)["sw"]


@pytest.fixture
def english(texts: Path) -> Tongue:
    """English, which needs no folder."""
    return load_tongues(texts)["en"]


def test_each_folder_of_pages_is_a_language_and_english_needs_none(texts: Path) -> None:
    assert sorted(load_tongues(texts)) == ["en", "sw"]


def test_several_catalogues_are_one_language(texts: Path) -> None:
    more = f'{HEAD}\nmsgid "Today"\nmsgstr "Leo"\n'
    (texts / "sw" / "pages" / "b.po").write_text(more, encoding="utf-8")

    swahili = load_tongues(texts)["sw"]

    assert (swahili.gettext("Saved."), swahili.gettext("Today")) == ("Imehifadhiwa.", "Leo")


@pytest.mark.parametrize(
    "missing", ["Nowhere.", pytest.param("Not sure.", id="fuzzy"), "Not done yet."]
)
def test_a_sentence_that_a_language_lacks_is_english(swahili: Tongue, missing: str) -> None:
    assert swahili.gettext(missing) == missing


@pytest.mark.parametrize(("count", "shown"), [(1, "kitu %(num)d"), (0, "vitu %(num)d")])
def test_a_count_takes_its_form(swahili: Tongue, count: int, shown: str) -> None:
    assert swahili.ngettext("%(num)d thing", "%(num)d things", count) == shown


@pytest.mark.parametrize(("count", "shown"), [(1, "%(num)d can"), (5, "%(num)d cans")])
def test_a_plural_with_a_blank_form_is_english(swahili: Tongue, count: int, shown: str) -> None:
    assert swahili.ngettext("%(num)d can", "%(num)d cans", count) == shown


def test_a_sentence_is_said_with_its_values_as_people_write_them(
    swahili: Tongue, english: Tongue
) -> None:
    said = sentence(
        "Due on %(day)s: %(litres)s L of %(share)s%%.", day=SATURDAY, litres=1234.5, share=60
    )

    assert english.say(said) == "Due on Saturday 27 March 2027: 1,234.5 L of 60%."
    assert swahili.say(said) == "1,234.5 L ya 60% siku ya Jumamosi 27 Machi 2027."


def test_a_sentence_inside_a_sentence_is_said_in_the_same_language(swahili: Tongue) -> None:
    assert swahili.say(sentence("%(first)s!", first=sentence("Saved."))) == "Imehifadhiwa.!"


def test_a_percent_sign_of_a_value_is_only_a_sign(english: Tongue) -> None:
    assert english.say(sentence("Named %(name)s.", name="100% %(x)s")) == "Named 100% %(x)s."


@pytest.mark.parametrize(
    "value", [datetime(2027, 3, 27, 18, tzinfo=UTC), True], ids=["an instant", "yes or no"]
)
def test_a_value_that_has_no_words_of_its_own_is_refused(english: Tongue, value: object) -> None:
    with pytest.raises(TypeError):
        english.written(value)


def test_an_instant_is_shown_in_local_time(english: Tongue) -> None:
    """Dar es Salaam is three hours before UTC, all year."""
    at = datetime(2027, 3, 27, 21, 30, tzinfo=UTC)

    assert english.moment(at, ZoneInfo("Africa/Dar_es_Salaam")) == "Sun 28 Mar 00:30"


def test_a_short_day_leaves_the_year_out(english: Tongue, swahili: Tongue) -> None:
    assert english.short_day(SATURDAY) == "Sat 27 Mar"
    assert swahili.short_day(SATURDAY) == "Jumamosi 27 Mac"


@pytest.mark.parametrize(
    ("value", "shown"), [(0.5, "0.5"), (12.0, "12"), (1.234, "1.23"), (12000, "12,000")]
)
def test_a_number_has_at_most_two_decimals(english: Tongue, value: float, shown: str) -> None:
    assert english.number(value) == shown


def test_every_catalogue_that_cannot_be_read_is_named(texts: Path) -> None:
    for name in ("b.po", "c.po"):
        (texts / "sw" / "pages" / name).write_bytes(b'msgid "\xff"\n')

    with pytest.raises(SettingsError) as refused:
        load_tongues(texts)

    assert "sw, b.po: the pages' texts cannot be read" in str(refused.value)
    assert "sw, c.po: the pages' texts cannot be read" in str(refused.value)
