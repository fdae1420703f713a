"""The drawing of a season: days in their order, nothing outside, no words over words."""

from datetime import date
from itertools import combinations, pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.agronomy.calendar import add_days
from service.web.timeline import WIDTH, Box, Drawing, Happening, Shape, draw

SOWN_ON = date(2027, 3, 15)


def at(days: int, shape: Shape = Shape.DUE, words: str = "A3 Sun 4 Apr: due") -> Happening:
    return Happening(shape=shape, on=add_days(SOWN_ON, days), words=words)


def a_season() -> list[Happening]:
    return [
        at(0, Shape.SOWN, "Sown Mon 15 Mar"),
        at(6, Shape.UP_ASSUMED, "Plants up Sun 21 Mar, assumed"),
        at(0, Shape.DONE, "A1 Mon 15 Mar: done"),
        *(at(days) for days in (13, 20, 27, 34, 48, 62)),
        at(83, Shape.CUTOFF, "No dose after Sun 6 Jun"),
        at(92, Shape.HARVEST, "Harvest not before Tue 15 Jun"),
    ]


def drawn(happenings: list[Happening], *, cutoff_days: int = 83) -> Drawing:
    return draw(happenings, cutoff_on=add_days(SOWN_ON, cutoff_days))


def share_ground(one: Box, two: Box) -> bool:
    across = min(one.right, two.right) - max(one.left, two.left)
    down = min(one.bottom, two.bottom) - max(one.top, two.top)
    return across > 0 and down > 0


def check(drawing: Drawing) -> None:
    for one, two in pairwise(drawing.marks):
        assert one.on <= two.on
        assert one.tick_y <= two.tick_y
        assert one.y < two.y
    for mark in drawing.marks:
        assert drawing.top_y <= mark.tick_y <= drawing.bottom_y
        assert mark.box.left > 0
        assert mark.box.top >= 0
        assert mark.box.right <= WIDTH
        assert mark.box.bottom <= drawing.height
    assert drawing.top_y <= drawing.shade_y <= drawing.bottom_y
    for one, two in combinations(drawing.marks, 2):
        assert not share_ground(one.box, two.box)


def test_a_usual_season_fits_its_frame() -> None:
    drawing = drawn(a_season())

    check(drawing)
    assert [mark.shape for mark in drawing.marks[:3]] == [
        Shape.SOWN,
        Shape.DONE,
        Shape.UP_ASSUMED,
    ]


def test_days_stand_at_their_true_place_on_the_axis() -> None:
    drawing = drawn([at(0), at(25), at(100)], cutoff_days=50)
    first, second, last = (mark.tick_y for mark in drawing.marks)

    assert (first, last) == (drawing.top_y, drawing.bottom_y)
    assert second - first == pytest.approx((last - first) / 4, abs=0.1)
    assert drawing.shade_y - first == pytest.approx((last - first) / 2, abs=0.1)


def test_words_stay_beside_their_tick_where_there_is_room() -> None:
    drawing = drawn([at(0), at(50), at(100)])

    assert drawing.marks[1].y == drawing.marks[1].tick_y


def test_a_last_day_outside_the_marks_shades_all_or_nothing() -> None:
    before, after = drawn([at(0), at(9)], cutoff_days=-5), drawn([at(0), at(9)], cutoff_days=20)

    assert before.shade_y == before.top_y
    assert after.shade_y == after.bottom_y


def test_long_words_break_into_lines_within_the_frame() -> None:
    drawing = drawn([at(0, words="Harvest not before " * 4), at(1)])

    check(drawing)
    assert len(drawing.marks[0].lines) == 3
    assert " ".join(drawing.marks[0].lines) == ("Harvest not before " * 4).strip()


def test_a_season_of_one_day_is_drawn() -> None:
    check(drawn([at(0, Shape.SOWN), at(0, Shape.CUTOFF)], cutoff_days=0))


def test_nothing_to_mark_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="without a day"):
        drawn([])


@given(
    days=st.lists(st.integers(-40, 400), min_size=1, max_size=18),
    words=st.lists(
        st.text(st.characters(codec="utf-8", categories=["L", "Nd", "Zs", "P"]), max_size=70),
        min_size=1,
    ),
    cutoff_days=st.integers(-60, 420),
)
@example(days=[0] * 18, words=["A3"], cutoff_days=0)
@example(days=[0, 1, 2, 3, 400], words=["No dose after Wednesday 22 September 2027"], cutoff_days=1)
def test_whatever_the_season_no_words_overlap_and_none_leave_the_frame(
    days: list[int], words: list[str], cutoff_days: int
) -> None:
    season = [at(day, words=words[place % len(words)]) for place, day in enumerate(days)]

    check(drawn(season, cutoff_days=cutoff_days))
