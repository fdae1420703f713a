"""A state comes back from JSON as it went in; what is none of this version is dropped."""

import json
from typing import Any

import pytest

from service.inbound.reply_codes import Meaning
from service.ussd.state import Place, State, state_of
from tests.unit.ussd.menus import TODAY

FULL = State(
    place=Place.CONFIRM,
    page=2,
    trail=((Place.ROOT, 0), (Place.PLOTS, 1)),
    home=7,
    plot="A",
    meaning=Meaning.NOT_DONE,
    dose=3,
    can=2,
    on=TODAY,
    wrong=1,
    said=("one", "two"),
    before=State(place=Place.PLOT, home=7, plot="A"),
)


@pytest.mark.parametrize("state", [FULL, State(place=Place.ROOT)], ids=["full", "bare"])
def test_a_state_comes_back_as_it_went(state: State) -> None:
    assert state_of(json.loads(json.dumps(state.as_json()))) == state


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"place": "attic"}, id="no such place"),
        pytest.param({"trail": [["root"]]}, id="a torn trail"),
        pytest.param({"meaning": "dance"}, id="no such meaning"),
        pytest.param({"on": "yesterday"}, id="no day"),
        pytest.param({"colour": "red"}, id="a field too many"),
    ],
)
def test_what_is_no_state_is_dropped(changes: dict[str, Any]) -> None:
    assert state_of({**FULL.as_json(), **changes}) is None


def test_an_empty_row_is_no_state() -> None:
    assert state_of({}) is None
