"""The menu's texts: each screen fits at its longest, and each code says what the menu reports."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from gateway_adapters.gsm7 import is_gsm7, septet_count
from service.inbound.reply_codes import Context, DoseRef, Reading, read_reply
from service.messages.language import CatalogueError, Review
from service.messages.letters import LETTERS
from service.messages.worst import FROM_THE_LANGUAGE, GROUP_SEPTETS, LABEL_SEPTETS
from service.route_settings import USSD_LEAST, USSD_MAX, USSD_MOST
from service.ussd.facts import Facts, Home, Job, Plot, Report, Shown, Standing, line_of
from service.ussd.line_names import LINE_FIELDS
from service.ussd.menu import begin, said, step
from service.ussd.state import Place, State
from service.ussd.texts import Voice, fits, load_menu
from tests.fresh import TEXTS, shipped_texts
from tests.unit.ussd.menus import (
    LONG_ANSWER,
    OUTSIDE,
    STRANGER,
    TODAY,
    Walk,
    a_home,
    a_plot,
    a_voice,
    facts_of,
    menu_texts,
)

LANGUAGES = ("en", "sw")
KEYS = "0123456789"
LONG_DAYS = date(2027, 9, 28)  # "Wed 15 Sept" is as long as an English day gets, in two weeks too


def longest(voice: Voice) -> Iterator[Facts]:
    """Yield phones of each standing with the longest names that the forms allow."""
    crop = str(FROM_THE_LANGUAGE["crop"](voice.words.language))
    jobs = tuple(Job(number=number, due_on=LONG_DAYS) for number in (8, 9))
    plots = tuple(Plot(letter=letter, crop=crop, jobs=jobs) for letter in LETTERS[-3:])
    home = Home(id=1, label="M" * LABEL_SEPTETS, plots=plots, cans=tuple(range(90, 100, 3)))
    bare = tuple(replace(plot, crop=None) for plot in plots)
    shared = tuple(replace(home, id=number, plots=bare) for number in range(1, 10, 3))
    alone = replace(
        facts_of(home, voice=voice),
        group="M" * GROUP_SEPTETS,
        may_start=True,
        today=LONG_DAYS,
    )
    yield alone
    yield replace(alone, homes=shared, shared=True)
    yield replace(alone, homes=(), standing=Standing.OUTSIDE)
    yield replace(alone, homes=(), standing=Standing.STRANGER)


def every_screen(
    facts: Facts, *, dated: bool = False
) -> Iterator[tuple[State, Shown, Report | None]]:
    """Yield what every input at every place leads to; of days, unless `dated`, one is enough."""
    start = begin(facts)
    waiting, seen = [start, State(place=Place.RESUME, before=start)], {(*_kind_of(start), False)}
    while waiting:
        state = waiting.pop()
        for typed in ("", *KEYS, "x"):
            done = step(state, typed, facts)
            yield done.state, done.shown, done.report
            if done.report is not None:
                answered = said(done.state, [LONG_ANSWER, LONG_ANSWER], facts)
                yield answered.state, answered.shown, None
                done = answered
            kind = (*_kind_of(done.state), dated and done.state.on)
            if not done.shown.finish and kind not in seen:
                seen.add(kind)
                waiting.append(done.state)


def _kind_of(state: State) -> tuple[object, ...]:
    ways = tuple(place for place, _ in state.trail)
    jobless = state.place is Place.DOSES and state.plot
    return (state.place, state.page, ways, state.meaning, state.wrong, jobless)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("most", [USSD_LEAST, 140, USSD_MAX, USSD_MOST])
def test_every_screen_fits_with_the_longest_names(language: str, most: int) -> None:
    voice = a_voice(language, most)
    places: set[Place] = set()

    for facts in longest(voice):
        for state, shown, _ in every_screen(facts):
            text = voice.text(shown.lines)
            assert is_gsm7(text)
            assert septet_count(text) <= most, text
            assert shown.finish or shown.lines[-1].name == "exit"
            if state.place is Place.CONFIRM and not shown.finish:
                assert any(line.name.startswith("confirm.") for line in shown.lines)
            places.add(state.place)

    assert places == set(Place)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_way_is_longer_than_eight_keys(language: str) -> None:
    for facts in longest(a_voice(language)):
        assert max(len(state.trail) for state, _, _ in every_screen(facts)) <= 7


def test_the_languages_of_the_menu_are_those_of_the_texts() -> None:
    assert tuple(menu_texts().languages) == LANGUAGES
    assert menu_texts().first_of("xx", "sw").language.code == "sw"
    assert menu_texts().first_of("xx").language.code == "en"


CONTEXT = Context(
    language="en",
    plots=("A", "D"),
    open=(DoseRef(plot="A", number=1), DoseRef(plot="A", number=2)),
    done=(),
    cans=(1, 2),
    received_on=TODAY,
)


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_code_of_each_report_is_read_as_that_report(language: str) -> None:
    """What is kept of a choice, and offered in its place, is the text that says the same."""
    voice = a_voice(language)
    home = a_home(1, a_plot("A", jobs=2), a_plot("D", jobs=0), cans=2)
    tried: dict[str, Reading] = {}

    for facts in (facts_of(home, voice=voice), OUTSIDE, STRANGER):
        context = replace(CONTEXT, language=language, unknown=facts.standing is Standing.STRANGER)
        for _, _, report in every_screen(facts, dated=True):
            if report is None:
                continue
            code = voice.words.printed(report.code)
            if context.unknown and report.code.name == "code.help":
                continue  # a stranger's HELP goes to a person; the menu says whom to call
            assert read_reply(code, context) == report.reading, code
            tried[report.code.name] = report.reading

    assert tried.keys() == {name for name in LINE_FIELDS if name.startswith("code.")}


@pytest.mark.parametrize(
    ("text", "most", "fitting"),
    [
        pytest.param("m" * 160, 160, True, id="as many letters as there is room"),
        pytest.param("m" * 161, 160, False, id="a letter more"),
        pytest.param("{" * 80, 160, True, id="brackets count twice"),
        pytest.param("{" * 80 + "m", 160, False, id="brackets and a letter"),
        pytest.param("\u0928" * 80, 182, True, id="80 letters of another script in 160 octets"),
        pytest.param("\u0928" * 81, 182, False, id="81 of them"),
        pytest.param("\u0928" * 70, 160, True, id="70 in 140 octets"),
        pytest.param("\u0928" * 71, 160, False, id="71 of them in 140"),
    ],
)
def test_room_is_counted_as_on_the_air(text: str, most: int, *, fitting: bool) -> None:
    """3GPP TS 23.038: 160 octets hold 182 septets or 80 units of 16 bits."""
    assert fits(text, most) is fitting


def written(folder: Path, language: str, lines: dict[str, str]) -> Path:
    """Write a menu's texts into a folder, beside nothing else."""
    for code in LANGUAGES:
        target = folder / code / "ussd.po"
        target.parent.mkdir()
        source = (TEXTS / code / "ussd.po").read_text(encoding="utf-8")
        for name, text in lines.items() if code == language else ():
            source = f'{source}\nmsgid "{name}"\nmsgstr "{text}"\n'
        target.write_text(source, encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("name", "text", "fault"),
    [
        pytest.param("stranger", "Hello", "there is no such text", id="unknown name"),
        pytest.param("bye2", "", "", id="no text at all is passed over"),
    ],
)
def test_an_added_line_is_judged(name: str, text: str, fault: str, tmp_path: Path) -> None:
    folder = written(tmp_path, "sw", {name: text})

    if not fault:
        assert set(load_menu(folder, shipped_texts()).languages) == set(LANGUAGES)
        return
    with pytest.raises(CatalogueError, match=f"sw, menu, {name}: {fault}"):
        load_menu(folder, shipped_texts())


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        pytest.param("$n More", "More", "more: its fields must be n", id="a field is missing"),
        pytest.param("Go on", "Go on $n", "resume.on: its fields must be none", id="one too many"),
        pytest.param("Go on", "Go $", "resume.on: a . stands without", id="a bare mark"),
        pytest.param("Go on", "Go \u0928", "resume.on: a letter is outside", id="a letter"),
        pytest.param("Go on", "Go to the latrine", "resume.on: it says latrine", id="a word"),
    ],
)
def test_a_line_that_cannot_be_used_stops_the_start(
    old: str, new: str, fault: str, tmp_path: Path
) -> None:
    folder = written(tmp_path, "en", {})
    path = folder / "en" / "ussd.po"
    source = path.read_text(encoding="utf-8")
    path.write_text(source.replace(f'msgstr "{old}"', f'msgstr "{new}"'), encoding="utf-8")

    with pytest.raises(CatalogueError, match=fault):
        load_menu(folder, shipped_texts())


def test_a_language_that_is_not_complete_is_passed_over(tmp_path: Path) -> None:
    folder = written(tmp_path, "en", {})
    path = folder / "sw" / "ussd.po"
    source = path.read_text(encoding="utf-8")
    path.write_text(source.replace('msgstr "Endelea"', 'msgstr ""'), encoding="utf-8")

    assert set(load_menu(folder, shipped_texts()).languages) == {"en"}


def test_without_the_source_language_there_is_no_menu(tmp_path: Path) -> None:
    folder = written(tmp_path, "en", {})
    (folder / "en" / "ussd.po").unlink()

    with pytest.raises(CatalogueError, match="en: texts of the menu are missing"):
        load_menu(folder, shipped_texts())


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    folder = written(tmp_path, "en", {})
    (folder / "sw" / "ussd.po").write_bytes(b"\xff\xfe")

    with pytest.raises(CatalogueError, match="sw: the menu's texts cannot be read"):
        load_menu(folder, shipped_texts())


def test_the_swahili_menu_says_that_nobody_has_read_it_yet() -> None:
    assert menu_texts().languages["sw"].language.review is Review.DRAFT
    assert "native speaker" in (TEXTS / "sw" / "ussd.po").read_text(encoding="utf-8")


def test_a_screen_is_one_language() -> None:
    walk = Walk(facts=facts_of(voice=a_voice("sw")), voice=a_voice("sw")).each("1 1 1 1")

    assert walk.text == "A1 imefanyika Jumatano 17 Mac?\n1 Ndiyo\n0 Rudi\n9 Toka"
    assert a_voice("sw").words.printed(line_of("bye")) == "Hakuna kilichoandikwa. Kwaheri."
