"""The line that a benchmark prints, and which of them run."""

import json

import pytest

from tests.bench.common import Line, Skipped, absolute_line, interleave, ratio_line
from tests.bench.runner import BENCHES, chosen_names, main


def a_line(*, goal: str | None = "<=1.7", values: tuple[float, ...] = (3.0, 2.0, 2.4)) -> Line:
    return ratio_line("plan.it", values, (2.0, 2.0, 2.0), goal=goal, notes=("ten plots",))


def test_a_line_holds_the_medians_the_range_the_goal_and_the_verdict() -> None:
    assert a_line().text() == (
        "plan.it value=2.4s baseline=2s ratio=1.2 range=1..1.5 goal=<=1.7 pass (ten plots)"
    )


def test_a_line_that_misses_its_goal_says_so() -> None:
    assert "goal=<=1.1 fail" in a_line(goal="<=1.1").text()


def test_a_range_across_the_goal_is_told_beside_the_verdict() -> None:
    assert "goal=<=1.3 pass (range crosses the goal; ten plots)" in a_line(goal="<=1.3").text()


def test_a_line_without_a_goal_passes() -> None:
    assert "goal=- pass" in a_line(goal=None).text()


@pytest.mark.parametrize(
    ("goal", "verdict"), [("<=1", "pass"), (">=1", "fail"), ("==0", "pass"), ("==1", "fail")]
)
def test_an_absolute_goal_has_neither_baseline_nor_ratio(goal: str, verdict: str) -> None:
    assert absolute_line("burst.dropped", 0, goal=goal).text() == (
        f"burst.dropped value=0 baseline=- ratio=- range=- goal={goal} {verdict}"
    )


def test_the_same_figures_are_there_as_json() -> None:
    told = json.loads(a_line().as_json())

    assert (told["name"], told["value"], told["baseline"]) == ("plan.it", 2.4, 2.0)
    assert (told["ratio"], told["range"], told["rounds"]) == (1.2, [1.0, 1.5], 3)
    assert (told["goal"], told["verdict"], told["notes"]) == ("<=1.7", "pass", ["ten plots"])


def test_what_is_not_installed_is_skipped_and_never_passes() -> None:
    skipped = Skipped(name="plan.it", needs="psycopg")

    assert skipped.text() == "plan.it skipped: needs psycopg"
    assert json.loads(skipped.as_json())["verdict"] == "skipped"


def test_the_runs_of_a_round_take_turns_in_going_first() -> None:
    order: list[str] = []

    def run(name: str, value: float) -> float:
        order.append(name)
        return value

    seen = interleave(3, {"a": lambda: run("a", 1.0), "b": lambda: run("b", 2.0)})

    assert order == ["a", "b", "b", "a", "a", "b"]
    assert seen == {"a": [1.0] * 3, "b": [2.0] * 3}


def test_a_name_chooses_the_benchmarks_that_begin_with_it() -> None:
    assert chosen_names(["plan."]) == [name for name in BENCHES if name.startswith("plan.")]
    assert chosen_names([]) == list(BENCHES)


def test_a_million_plots_are_only_planned_where_they_are_named_in_full() -> None:
    assert "plan.bulk_vs_copy.1m" not in chosen_names(["plan.bulk_vs_copy"])
    assert chosen_names(["plan.bulk_vs_copy.1m"]) == ["plan.bulk_vs_copy.1m"]


def test_an_unknown_name_is_refused_with_those_there_are(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["nothing.like.it"]) == 2
    assert "plan.one_fact" in capsys.readouterr().err
