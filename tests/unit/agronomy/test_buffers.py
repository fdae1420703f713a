"""How far from water a plot must lie."""

import pytest

from service.agronomy.buffers import WaterKind, buffer_warnings, buffers, load_buffers
from service.agronomy.tables import Found, TableError, table_text


def test_the_strips_are_those_of_the_regulations() -> None:
    """Irish good practice regulations 2017, via Louth County Council."""
    assert {kind.value: buffer.metres for kind, buffer in buffers().items()} == {
        "stream": 5,
        "lake": 20,
        "well": 25,
        "supply": 100,
        "large-supply": 200,
    }
    assert {buffer.origin.found for buffer in buffers().values()} == {Found.READ}


@pytest.mark.parametrize(
    ("kind", "distance_m", "metres"),
    [
        (WaterKind.STREAM, 4, [5]),
        (WaterKind.STREAM, 5, []),
        (WaterKind.LAKE, 19.9, [20]),
        (WaterKind.WELL, 24, [25]),
        (WaterKind.WELL, 0, [25]),
        (WaterKind.WELL, 25, []),
        (None, 24, [25]),
        (None, 25, []),
        (WaterKind.WELL, None, []),
        (None, None, []),
    ],
)
def test_a_plot_within_the_strip_is_warned(
    kind: WaterKind | None, distance_m: float | None, metres: list[float]
) -> None:
    found = buffer_warnings(kind, distance_m)

    assert [warning.buffer.metres for warning in found] == metres
    assert [warning.distance_m for warning in found] == [distance_m] * len(metres)


def test_a_kind_of_water_too_many_or_too_few_stops_the_load() -> None:
    text = table_text("buffers.toml")

    for wrong in (text.replace("[lake]", "[pond]"), text + "\n[pond]\nmetres = 1\n"):
        with pytest.raises(TableError, match=r"buffers\.toml: these kinds of water .*pond"):
            load_buffers(wrong)
