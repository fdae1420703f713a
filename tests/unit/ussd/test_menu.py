"""The menu as a machine: where each key leads, and what is reported."""

from dataclasses import replace

import pytest

from service.agronomy.calendar import add_days
from service.inbound.reply_codes import Item, Meaning
from service.ussd.menu import begin
from service.ussd.state import Place, State
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
    names_of,
)


def a_walk(**changes: object) -> Walk:
    return Walk(facts=replace(facts_of(), **changes))  # type: ignore[arg-type]  # -- fields by name


@pytest.mark.parametrize(
    ("inputs", "meaning", "item"),
    [
        pytest.param("1 1 1 1 1", Meaning.DONE, Item(plot="A", dose=1), id="done today"),
        pytest.param(
            "1 1 1 2 2 1", Meaning.DONE, Item(plot="A", dose=1, days_ago=2), id="done before"
        ),
        pytest.param("1 1 1 3 1", Meaning.NOT_DONE, Item(plot="A", dose=1), id="not done"),
        pytest.param("1 1 2 1 1", Meaning.UP, Item(plot="A"), id="up"),
        pytest.param("1 1 3 2 1", Meaning.SOWN, Item(plot="A", days_ago=1), id="sown"),
        pytest.param("1 1 4 1", Meaning.RAIN, Item(plot="A"), id="rain"),
        pytest.param("1 1 5 1", Meaning.BURN, Item(plot="A"), id="burnt"),
        pytest.param("1 1 6 1 1", Meaning.HARVEST, Item(plot="A"), id="harvest"),
        pytest.param("2 1 3 1", Meaning.SEALED, Item(can=1, days_ago=2), id="can"),
    ],
)
def test_a_fact_is_reported_after_its_question_was_answered_by_yes(
    inputs: str, meaning: Meaning, item: Item
) -> None:
    walk = a_walk().each(inputs)

    ((question, report),) = walk.reports
    assert report.reading.meaning is meaning
    assert report.reading.items == (item,)
    assert question.splitlines()[0].endswith("?")
    assert question.splitlines()[1:] == ["1 Yes", "0 Back", "9 Exit"]
    assert walk.shown.finish


@pytest.mark.parametrize(
    ("inputs", "meaning"),
    [
        pytest.param("1 1 7", Meaning.WHY, id="next job, and why"),
        pytest.param("4", Meaning.HELP, id="help"),
        pytest.param("3 1", Meaning.STOP, id="stop, after its question"),
    ],
)
def test_what_only_asks_is_answered_at_once(inputs: str, meaning: Meaning) -> None:
    walk = a_walk().each(inputs)

    assert walk.meanings == [meaning]
    assert walk.text == "Noted."


def test_a_day_is_asked_and_confirmed_by_its_date() -> None:
    walk = a_walk().each("1 1 1 2")

    assert walk.text.splitlines()[:4] == [
        "When was A1 done?",
        "1 Yesterday",
        "2 Mon 15 Mar",
        "3 Sun 14 Mar",
    ]
    assert walk.each("2").text.startswith("A1 done on Mon 15 Mar?")


@pytest.mark.parametrize(
    ("inputs", "days"),
    [
        pytest.param("1 1 1 2", 6, id="done, from yesterday"),
        pytest.param("1 1 2", 15, id="up, from today"),
        pytest.param("2 1", 3, id="sealed, from today"),
    ],
)
def test_no_day_is_offered_that_a_text_could_not_name(inputs: str, days: int) -> None:
    walk = a_walk().each(inputs)

    def offered() -> int:
        days = {"day", "day.today", "day.yesterday"}
        return sum(name in days for name in names_of(walk.shown.lines))

    count = offered()
    while "more" in names_of(walk.shown.lines):
        walk.type("8")
        count += offered()
    assert count == days


def test_of_several_open_jobs_one_is_chosen() -> None:
    walk = Walk(facts=facts_of(a_home(1, a_plot(jobs=2)))).each("1 1 1")

    assert walk.text.splitlines()[:3] == [
        "Which job on plot A?",
        "1 A1, Tue 16 Mar",
        "2 A2, Wed 17 Mar",
    ]
    assert walk.each("2 1 1").reports[0][1].reading.items == (Item(plot="A", dose=2),)


def test_a_plot_without_an_open_job_says_so() -> None:
    walk = Walk(facts=facts_of(a_home(1, a_plot(jobs=0)))).each("1 1 1")

    assert walk.text == "Plot A has no open job now.\n0 Back\n9 Exit"


def test_without_plots_and_cans_the_lists_say_so() -> None:
    bare = replace(a_home(cans=0), plots=())

    assert Walk(facts=facts_of(bare)).each("1").text.startswith("No plot has a crop now.")
    assert Walk(facts=facts_of(bare)).each("2").text.startswith("No can is being filled now.")


def test_back_leads_the_way_that_was_come() -> None:
    walk = a_walk()
    seen = [walk.text, *(walk.type(typed).text for typed in ("1", "1", "1", "2", "1"))]

    back = [walk.type("0").text for _ in range(5)]

    assert back == seen[-2::-1]
    assert walk.type("0").shown.finish


def test_exit_ends_and_notes_nothing() -> None:
    walk = a_walk().each("1 1 1 1 9")

    assert walk.shown.finish
    assert walk.text == "Nothing was noted. Goodbye."
    assert walk.reports == []


def test_an_empty_input_shows_the_screen_again() -> None:
    walk = a_walk().each("1 1")
    seen = walk.text

    assert walk.type().text == seen
    assert walk.type().type().state.wrong == 0


def test_a_wrong_key_is_said_and_the_third_ends_with_the_code_to_text() -> None:
    walk = a_walk().each("1 1 1 2 3")
    seen = walk.text

    first = walk.type("5").text
    second = walk.type("77").text
    third = walk.type("x")

    assert first == second == f"Please type one of these numbers.\n{seen}"
    assert third.text == "Nothing was noted. You can also text us: A1 3"
    assert third.shown.finish


def test_wrong_keys_are_counted_in_a_row_only() -> None:
    walk = a_walk().each("5 5 1 5 5")

    assert not walk.shown.finish
    assert walk.each("0 5 5").shown.finish is False


@pytest.mark.parametrize(
    ("inputs", "code"),
    [
        pytest.param("x x x", "HELP", id="at the top"),
        pytest.param("1 1 x x x", "A1", id="at a plot with an open job"),
        pytest.param("1 1 6 2 x x x", "A HARVEST 1", id="at a question"),
        pytest.param("2 1 1 x x x", "CAN 1", id="at a can"),
    ],
)
def test_the_code_to_text_fits_the_place(inputs: str, code: str) -> None:
    assert a_walk().each(inputs).text.endswith(f"text us: {code}")


def test_a_dialled_path_runs_through_the_same_steps() -> None:
    assert a_walk().type("1", "1", "1").text == a_walk().each("1 1 1").text


def test_a_path_stops_at_the_first_question() -> None:
    walk = a_walk().type("1", "1", "1", "1", "1", "1")

    assert walk.reports == []
    assert walk.state.place is Place.CONFIRM
    assert walk.type("1").meanings == [Meaning.DONE]


def test_a_path_stops_at_the_first_wrong_key() -> None:
    walk = a_walk().type("1", "7", "7", "7")

    assert (walk.state.place, walk.state.wrong) == (Place.PLOTS, 1)


def test_long_lists_take_several_screens_numbered_from_one() -> None:
    letters = "ADGJMPTW"
    home = a_home(1, *(a_plot(letter, crop="sweet-potato") for letter in letters))
    walk = Walk(facts=facts_of(home)).each("1")

    first = walk.text.splitlines()
    second = walk.type("8").text.splitlines()

    assert first[1].startswith("1 A")
    assert first[-3:] == ["8 More", "0 Back", "9 Exit"]
    assert second[1].startswith("1 ")
    assert second[-2:] == ["0 Back", "9 Exit"]
    assert len(first) - 4 + len(second) - 3 == len(letters)
    assert walk.type("0").text.splitlines() == first


def test_a_long_answer_takes_several_screens_and_loses_no_word() -> None:
    voice = a_voice(most=100)
    facts = facts_of(voice=voice)
    walk = Walk(facts=facts, voice=voice, answers=lambda _report: [LONG_ANSWER]).each("3 1")

    first = walk.text.splitlines()
    second = walk.type("8")

    assert first[1:] == ["8 More", "9 Exit"]
    assert f"{first[0]} {second.text}" == LONG_ANSWER
    assert second.shown.finish
    assert walk.meanings == [Meaning.STOP]


def test_a_page_of_an_answer_can_be_left_and_turned_back() -> None:
    voice = a_voice(most=100)
    facts = facts_of(voice=voice)

    def begun() -> Walk:
        return Walk(facts=facts, voice=voice, answers=lambda _report: [LONG_ANSWER * 2]).each("3 1")

    walk = begun()
    seen = walk.text
    assert walk.each("8 0").text == seen
    assert walk.each("5 5").text == seen
    for keys in ("9", "0", "5 5 5"):
        assert begun().each(keys).text == "Thank you. Goodbye."


def test_a_shared_phone_chooses_a_home_before_anything_of_it_is_shown() -> None:
    homes = (
        a_home(1, a_plot("A", crop=None), label="Blue"),
        a_home(2, a_plot("D", crop=None), label="Green"),
    )
    walk = Walk(facts=facts_of(*homes, shared=True))

    assert walk.text == "Which home?\n1 Blue\n2 Green\n9 Exit"
    assert "Plot D" not in walk.each("1 1").text
    assert "Plot A" in walk.text


def test_a_number_that_nobody_has_enrolled_may_join_and_ask() -> None:
    walk = Walk(facts=STRANGER)

    assert names_of(walk.shown.lines) == [
        "stranger.title",
        "root.join",
        "root.stop",
        "root.help",
        "exit",
    ]
    assert walk.each("1 1").meanings == [Meaning.JOIN]


@pytest.mark.parametrize(
    ("stopped", "offered"),
    [
        pytest.param(False, ["root.start", "root.stop", "root.help"], id="not asked yet"),
        pytest.param(True, ["root.start", "root.help"], id="stopped"),
    ],
)
def test_a_phone_that_gets_no_texts_may_start_stop_and_ask(
    stopped: bool,  # noqa: FBT001 -- a row of the table
    offered: list[str],
) -> None:
    walk = Walk(facts=replace(OUTSIDE, stopped=stopped))

    assert names_of(walk.shown.lines) == ["outside.title", *offered, "exit"]


def dropped(walk: Walk, **changes: object) -> Walk:
    """Return the next session of a phone whose line dropped."""
    facts = replace(walk.facts, **changes)  # type: ignore[arg-type]  # -- fields by name
    return Walk(facts=facts, before=walk.state)


def test_a_dropped_session_is_gone_on_with() -> None:
    walk = a_walk().each("1 1 1 2 3")
    seen = walk.text

    again = dropped(walk)

    assert again.text == "You had not finished.\n1 Go on\n0 Start again\n9 Exit"
    assert again.type("1").text == seen
    assert again.type("1").reports[0][1].reading.items == (Item(plot="A", dose=1, days_ago=3),)


def test_a_dropped_session_may_be_started_again() -> None:
    again = dropped(a_walk().each("1 1"))

    assert again.type("0").text == a_walk().text


def test_dropping_twice_still_goes_on_with_the_first() -> None:
    walk = a_walk().each("1 1")
    seen = walk.text

    again = dropped(dropped(walk))

    assert again.type("1").text == seen


def test_at_the_top_there_is_nothing_to_go_on_with() -> None:
    assert dropped(a_walk()).text == a_walk().text


@pytest.mark.parametrize(
    "homes",
    [
        pytest.param((a_home(2, a_plot("D")),), id="the home"),
        pytest.param((a_home(1, a_plot("D")),), id="the plot"),
    ],
)
def test_what_is_gone_meanwhile_is_not_gone_on_with(homes: tuple[object, ...]) -> None:
    again = dropped(a_walk().each("1 1"), homes=homes)

    assert again.state.place is Place.ROOT


def test_going_on_the_next_day_keeps_the_day_that_was_chosen() -> None:
    again = dropped(a_walk().each("1 1 1 1"), today=add_days(TODAY, 1)).type("1")

    assert again.text.startswith("A1 done on Wed 17 Mar?")
    assert again.type("1").reports[0][1].reading.items == (Item(plot="A", dose=1, days_ago=1),)


def test_on_a_shared_phone_the_home_is_chosen_again_before_going_on() -> None:
    homes = (
        a_home(1, a_plot("A", crop=None), label="Blue"),
        a_home(2, a_plot("D", crop=None), label="Green"),
    )
    walk = Walk(facts=facts_of(*homes, shared=True)).each("1 1 1")
    seen = walk.text

    same = dropped(walk).type("1")
    assert same.text == "Which home?\n1 Blue\n2 Green\n9 Exit"
    assert same.type("1").text == seen
    other = dropped(walk).each("1 2 1")
    assert "Plot D" in other.text
    assert "Plot A" not in other.text


def test_a_job_that_is_closed_meanwhile_leads_to_the_start() -> None:
    walk = a_walk().each("1 1 1")
    walk.facts = facts_of(a_home(1, a_plot(jobs=0)))

    assert walk.type("1").state.place is Place.ROOT
    assert walk.reports == []


def test_an_answer_is_not_gone_on_with_by_a_phone_that_lost_the_home() -> None:
    kept = State(place=Place.SAID, home=1, said=("one", "two"))

    assert begin(facts_of(a_home(2)), before=kept).place is Place.ROOT
    assert begin(facts_of(a_home(1)), before=kept).place is Place.RESUME
