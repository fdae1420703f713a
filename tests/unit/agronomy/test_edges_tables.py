"""Figures at the edge of what a table may hold."""

from service.agronomy.tables import Group


def test_nothing_is_a_figure() -> None:
    values = {"days": 0, "litres": 0, "source": "a leaflet", "found": "read"}
    group = Group("here", values, frozenset({"days", "litres"}))

    assert group.whole("days") == 0
    assert group.number("litres") == 0
