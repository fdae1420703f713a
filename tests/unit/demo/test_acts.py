"""The coordinator's acts of the demo are read strictly, and no kind of turn is missing."""

import re
from datetime import date
from pathlib import Path

import pytest

from service.demo.acts import Act, ActKind, load_acts
from service.demo.behaviour import load_growers
from service.errors import SettingsError

TABLE = Path(__file__).parents[3] / "deploy" / "season.toml"
HOLD = '[[acts]]\non = 2027-04-10\nact = "hold"\narea = "T"\n'
DAYS = "first_on = 2027-04-10\nlast_on = 2027-04-12\n"


def _read(folder: Path, text: str) -> tuple[Act, ...]:
    path = folder / "season.toml"
    path.write_text(text, encoding="utf-8")
    return load_acts(path)


def test_an_act_has_its_day_its_kind_and_its_values(tmp_path: Path) -> None:
    told = '[[acts]]\non = 2027-03-17\nact = "given-elsewhere"\nhousehold = "H20"\nplot = "P1"\n'

    (act,) = _read(tmp_path, f"{told}number = 1\nday = 2027-03-16\nlitres = 4\n")

    assert (act.place, act.on, act.kind) == (1, date(2027, 3, 17), ActKind.ELSEWHERE)
    assert (act.word("household"), act.count("number")) == ("H20", 1)
    assert (act.day("day"), act.amount("litres")) == (date(2027, 3, 16), 4.0)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        pytest.param(f"{HOLD}{DAYS}who = 'me'\n", "act 1: who is", id="a key too many"),
        pytest.param(f"{HOLD}first_on = 2027-04-10\n", "act 1: last_on is", id="a key too few"),
        pytest.param(
            f"{HOLD}first_on = 2027-04-10\nlast_on = 'later'\n",
            "act 1: last_on is not of the right kind",
            id="no day",
        ),
        pytest.param(
            f"{HOLD}{DAYS}".replace("on = 2027-04-10\nact", "on = true\nact"),
            "act 1: on must be a day",
            id="no day of its own",
        ),
        pytest.param(f"{HOLD}{DAYS}".replace("hold", "rest"), "act must be one of", id="no act"),
        pytest.param(f"seed = 1\n{HOLD}{DAYS}", "seed is not known", id="a key of its own"),
        pytest.param(
            f"{HOLD}{DAYS}{HOLD.replace('04-10', '04-09')}{DAYS}",
            "act 2: it is of an earlier day",
            id="out of order",
        ),
        pytest.param("acts = [", "cannot be read", id="no table"),
    ],
)
def test_what_cannot_be_played_is_refused_and_named(tmp_path: Path, text: str, fault: str) -> None:
    with pytest.raises(SettingsError, match=re.escape(fault)):
        _read(tmp_path, text)


def test_a_table_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="cannot be read"):
        load_acts(tmp_path / "season.toml")


def test_the_demo_holds_every_kind_of_act_and_explains_it() -> None:
    head = TABLE.read_text(encoding="utf-8").split("[[acts]]")[0]

    assert {act.kind for act in load_acts(TABLE)} == set(ActKind)
    assert all(f"\n#   {kind.value} " in head for kind in ActKind)


def test_the_acts_come_with_the_growers_they_stand_beside() -> None:
    assert load_growers(TABLE.with_name("growers.toml")).acts == load_acts(TABLE)


def test_two_warnings_of_rain_overlap_in_one_area() -> None:
    holds = [act for act in load_acts(TABLE) if act.kind is ActKind.HOLD]
    days = [(act.word("area"), act.day("first_on"), act.day("last_on")) for act in holds]

    assert any(
        second[1] <= first[2] and second[2] >= first[1] and "all" in (first[0], second[0])
        for first in days
        for second in days
        if first is not second
    )
