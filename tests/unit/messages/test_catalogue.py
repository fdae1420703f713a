"""The shipped texts, and what is refused when texts are read."""

import shutil
from pathlib import Path

import pytest

from service.messages.catalogue import Catalogue
from service.messages.fitting import missing_from
from service.messages.kinds import KINDS, TEXT_FIELDS
from service.messages.language import CatalogueError, Review
from service.messages.small_texts import SMALL_TEXTS

HEADER = 'msgid ""\nmsgstr ""\n"Language: fr\\n"\n"X-Review: draft\\n"\n"X-Encoding: gsm7\\n"\n'

CROPS = (
    "maize-grain", "maize-green", "sorghum", "pearl-millet", "rice-transplanted", "tomato",
    "cabbage", "kale", "onion", "amaranth", "spinach", "pepper", "eggplant", "okra", "pumpkin",
    "zucchini", "cassava", "potato", "sweet-potato", "sunflower", "dry-bean", "cowpea",
    "groundnut", "banana", "coffee",
)  # fmt: skip


def _beside_english(tmp_path: Path, locales: Path, written: str) -> Path:
    shutil.copytree(locales / "en", tmp_path / "en")
    (tmp_path / "fr").mkdir()
    (tmp_path / "fr" / "texts.po").write_text(written, encoding="utf-8")
    return tmp_path


def _entry(name: str, text: str) -> str:
    return f'\nmsgid "{name}"\nmsgstr "{text}"\n'


@pytest.mark.parametrize("code", ["en", "sw"])
def test_a_shipped_language_has_every_text_and_no_other(catalogue: Catalogue, code: str) -> None:
    language = catalogue.languages[code]
    crops = {f"crop.{crop}" for crop in CROPS}

    assert catalogue.crops() == set(CROPS)
    assert missing_from(language) == []
    assert language.texts.keys() == TEXT_FIELDS.keys() | SMALL_TEXTS.keys() | crops


def test_the_swahili_texts_say_that_no_native_speaker_has_read_them(catalogue: Catalogue) -> None:
    assert catalogue.languages["en"].review is Review.SOURCE
    assert catalogue.languages["sw"].review is Review.DRAFT


def test_what_the_group_agreed_to_is_named_where_it_was_agreed() -> None:
    naming = {name for name, kind in KINDS.items() if "group" in kind.fields}

    assert {"consent", "stop_ok"} <= naming


def test_only_corrections_and_safety_go_beyond_the_limits() -> None:
    assert {name for name, kind in KINDS.items() if kind.beyond_limits} == {
        "rain_hold",
        "withdrawn",
        "harvest_early",
        "danger",
        "stop_ok",
    }


def test_every_kind_with_an_amount_a_day_or_a_hold_needs_a_native_reader() -> None:
    telling = {
        *("day", "ready", "next", "since", "until", "harvest"),
        *("urine", "given", "jobs", "wait", "short", "litres", "ratio"),
    }
    kinds = {name for name, kind in KINDS.items() if kind.fields & telling} | {"rain_hold"}

    assert {name for name in kinds if not KINDS[name].needs_native_read} == set()


def test_a_shared_form_names_neither_crop_nor_substance() -> None:
    shared = {name: fields for name, fields in TEXT_FIELDS.items() if name.endswith(".shared")}

    assert len(shared) > 10
    assert {name for name, fields in shared.items() if fields & {"crop", "what"}} == set()
    assert {name for name, kind in KINDS.items() if kind.shared_variant} <= {
        name.split(".")[0] for name in shared
    }


@pytest.mark.parametrize(
    ("written", "fault"),
    [
        pytest.param(_entry("dozzze", "Oui."), "no such text", id="unknown text"),
        pytest.param(_entry("crop.teak", "teck"), "no such text", id="unknown crop"),
        pytest.param(_entry("help", "Appelez $phone ou $name"), "unknown field name", id="field"),
        pytest.param(_entry("help", "Appelez."), "missing field phone", id="missing field"),
        pytest.param(_entry("help", "Appelez $phone 3 $"), "a \\$ stands", id="bare sign"),
        pytest.param(_entry("help", "Appelez $phone $$"), "a \\$ stands", id="doubled sign"),
        pytest.param(_entry("help", "Appelez  $phone"), "double spaces", id="double space"),
        pytest.param(_entry("help", "Appelez $phone "), "spaces at the ends", id="space behind"),
        pytest.param(_entry("help", "Appelez\\t$phone"), "tabs", id="tab"),
        pytest.param(_entry("unread", "Merci. " * 23 + "Fin."), "do not fit", id="too long"),
        pytest.param(_entry("unread", "Merci \u0915."), "outside gsm7", id="foreign letter"),
        pytest.param(_entry("unread", "Tapez ARRET."), "ARRET is no reply word", id="keyword"),
        pytest.param(_entry("crop.kale", "chou frise vert"), "longer than 12", id="long crop"),
        pytest.param(_entry("tip.4", "Tenez les enfants loin d'ici."), "than 23", id="long tip"),
        pytest.param(_entry("what.discreet", "soup"), "it says soup", id="someone may drink it"),
    ],
)
def test_a_faulty_text_stops_the_start(
    tmp_path: Path, locales: Path, written: str, fault: str
) -> None:
    folder = _beside_english(tmp_path, locales, HEADER + written)

    with pytest.raises(CatalogueError, match=fault):
        Catalogue.load(folder)


def test_a_text_copied_from_english_is_refused(
    tmp_path: Path, locales: Path, catalogue: Catalogue
) -> None:
    copied = _entry("unread", catalogue.languages["en"].texts["unread"])

    with pytest.raises(CatalogueError, match="fr, unread: it equals the source text"):
        Catalogue.load(_beside_english(tmp_path, locales, HEADER + copied))


def test_words_of_blame_and_of_asking_are_refused_by_the_languages_own_list(
    tmp_path: Path, locales: Path
) -> None:
    written = HEADER + _entry("unread", "Paresseux ! Envoyez du credit.")
    folder = _beside_english(tmp_path, locales, written)
    (folder / "fr" / "words.toml").write_text(
        "[blame]\nwords = ['paresseux']\nsource = 'x'\n"
        "[asking]\nwords = ['credit']\nsource = 'x'\n",
        encoding="utf-8",
    )

    with pytest.raises(CatalogueError, match="it says credit, paresseux"):
        Catalogue.load(folder)


def test_only_the_plain_text_on_collecting_may_name_the_jug(tmp_path: Path, locales: Path) -> None:
    plain = _entry("collect", "La cruche, bidon $n, le $day.")
    neutral = _entry("collect.neutral", "La cruche neutre, bidon $n, le $day.")
    folder = _beside_english(tmp_path, locales, HEADER + plain + neutral)
    (folder / "fr" / "words.toml").write_text(
        "[revealing]\nwords = ['cruche']\nsource = 'x'\n", encoding="utf-8"
    )

    with pytest.raises(CatalogueError) as refused:
        Catalogue.load(folder)

    (fault,) = refused.value.faults
    assert fault.startswith("fr, collect.neutral: it says cruche")


def test_every_fault_of_every_language_is_listed_at_once(tmp_path: Path, locales: Path) -> None:
    folder = _beside_english(tmp_path, locales, HEADER.replace("draft", "perfect"))
    (folder / "pt").mkdir()
    (folder / "pt" / "texts.po").write_text(HEADER.replace("fr", "qq"), encoding="utf-8")

    with pytest.raises(CatalogueError) as refused:
        Catalogue.load(folder)

    assert [fault.split(":")[0] for fault in refused.value.faults] == ["fr", "pt"]
    assert "X-Review" in refused.value.faults[0]
    assert "Language" in refused.value.faults[1]


def test_without_the_source_language_nothing_starts(tmp_path: Path) -> None:
    with pytest.raises(CatalogueError, match="en: the files cannot be read"):
        Catalogue.load(tmp_path)


def test_a_fuzzy_text_counts_as_missing(tmp_path: Path, locales: Path) -> None:
    written = HEADER + "\n#, fuzzy" + _entry("unread", "Merci.")

    catalogue = Catalogue.load(_beside_english(tmp_path, locales, written))

    assert catalogue.languages["fr"].texts == {}


def test_a_language_falls_back_text_by_text_and_never_within_one(
    tmp_path: Path, locales: Path
) -> None:
    shutil.copytree(locales / "sw", tmp_path / "sw")
    written = HEADER + _entry("unread", "Merci.") + _entry("plant_q", "$crop sur $plot ?")
    catalogue = Catalogue.load(_beside_english(tmp_path, locales, written))

    def spoken(name: str) -> str:
        return catalogue.language_for(name, language="fr", fallback="sw").code

    assert spoken("unread") == "fr"
    assert spoken("help") == "sw"
    assert spoken("plant_q") == "sw"  # the French text is there, but no French crops
    assert catalogue.language_for("help", language="fr", fallback="xx").code == "en"


def test_only_the_languages_asked_for_are_read(locales: Path) -> None:
    assert Catalogue.load(locales, languages=["en"]).languages.keys() == {"en"}


def test_a_source_language_with_gaps_stops_the_start(tmp_path: Path) -> None:
    (tmp_path / "en").mkdir()
    (tmp_path / "en" / "texts.po").write_text(
        HEADER.replace("fr", "en_TZ") + _entry("unread", "Thank you."), encoding="utf-8"
    )

    with pytest.raises(CatalogueError) as refused:
        Catalogue.load(tmp_path)

    assert "en, help: the text is missing." in refused.value.faults
    assert "en, unread: the text is missing." not in refused.value.faults
    assert "en: the header X-Review must be source." in refused.value.faults


def test_reminders_are_the_core_and_answers_go_at_any_hour() -> None:
    core = {name for name, kind in KINDS.items() if kind.core}
    answers = {name for name, kind in KINDS.items() if kind.answer}

    assert {"dose", "dose_rain", "repeat", "digest", "last", "harvest_ok"} <= core
    assert {name for name in KINDS if name.startswith("r_")} <= answers
    assert {"danger", "stop_ok", "help", "unread", "refuse"} <= answers
    assert not answers & {"dose", "dose_rain", "dose_assumed", "repeat", "digest", "ready"}
