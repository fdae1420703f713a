"""Which told doses are put right, with which text, and how often.

A dose told for 4 April. Up to when it could still be followed is the window of the rules: six days.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime

import pytest

from service.agronomy.dose_days import MoveReason
from service.outbox.lookups import Told
from service.planning.allotting import Planned
from service.planning.corrections import Wrong, corrections, night_tasks, wrong_doses
from service.planning.send_window import zone_of
from service.records.fields import DoseState, FactKind, HoldRow, PlantingFactRow, Source
from service.records.localities import AreaHoldRow
from service.records.locality_book import LocalityBook
from service.records.tasks import Task
from service.records.traffic import TaskKind
from tests.unit.planning.edges import (
    HOME,
    NO_BOOK,
    PLANTING,
    a_board,
    a_dose,
    a_fact,
    a_row,
    planted,
)

DAR = zone_of("Africa/Dar_es_Salaam")
TOLD_ON, LATER, TODAY = date(2027, 4, 4), date(2027, 4, 7), date(2027, 4, 4)
NOON, NIGHT = datetime(2027, 4, 4, 9, 0, tzinfo=UTC), datetime(2027, 4, 4, 18, 0, tzinfo=UTC)
DOSE_ID = 903


def a_plot(  # noqa: PLR0913 -- a factory: every part has its usual value
    due_on: date = LATER,
    *,
    state: DoseState = DoseState.PLANNED,
    reason: str | None = None,
    moved: tuple[MoveReason, ...] = (),
    letter: str | None = "A",
    facts: Sequence[PlantingFactRow] = (),
    holds: Sequence[HoldRow] = (),
    book: LocalityBook = NO_BOOK,
) -> Planned:
    return planted(
        letter=letter,
        rows=[a_row(3, due_on, state=state, reason=reason), a_row(4, date(2027, 4, 14))],
        doses=[a_dose(3, due_on, moved=moved)] if state is DoseState.PLANNED else [],
        facts=facts,
        holds=holds,
        book=book,
    )


def wrong(own: Planned, *told_for: date, today: date = TODAY) -> list[Wrong]:
    days = frozenset(told_for or {TOLD_ON})
    board = a_board(own, today=today, told={DOSE_ID: Told(texts=len(days), days=days)})
    return wrong_doses(board, [own], DAR)


@pytest.mark.parametrize(
    ("own", "count"),
    [
        pytest.param(a_plot(), 1, id="moved to a later day"),
        pytest.param(a_plot(TOLD_ON), 0, id="still on its day"),
        pytest.param(a_plot(date(2027, 4, 3)), 0, id="on an earlier day"),
        pytest.param(a_plot(state=DoseState.DROPPED), 1, id="dropped"),
        pytest.param(a_plot(state=DoseState.DONE), 0, id="given"),
        pytest.param(a_plot(letter=None), 0, id="no letter"),
    ],
)
def test_a_dose_told_for_a_day_that_no_longer_holds_is_wrong(own: Planned, count: int) -> None:
    assert len(wrong(own)) == count


def test_the_last_day_that_was_told_counts() -> None:
    assert wrong(a_plot(), TOLD_ON, LATER) == []


@pytest.mark.parametrize(("day", "count"), [(10, 1), (11, 0)])
def test_a_dose_is_put_right_while_it_could_still_be_followed(day: int, count: int) -> None:
    assert len(wrong(a_plot(), today=date(2027, 4, day))) == count


@pytest.mark.parametrize(
    ("own", "by_hold"),
    [
        pytest.param(a_plot(state=DoseState.DROPPED, reason="hold"), True, id="dropped for rain"),
        pytest.param(a_plot(state=DoseState.DROPPED, reason="cut-off"), False, id="too late"),
        pytest.param(a_plot(moved=(MoveReason.HOLD,)), True, id="moved by rain"),
        pytest.param(a_plot(), False, id="moved by other news"),
    ],
)
def test_rain_is_told_as_rain(own: Planned, *, by_hold: bool) -> None:
    (found,) = wrong(own)

    assert found.by_hold is by_hold
    assert (found.code, found.key) == ("A3", "903.2027-04-04")


def news(day: int, hour: int, source: Source) -> PlantingFactRow:
    at = datetime(2027, 4, day, hour, 0, tzinfo=UTC)
    return a_fact(FactKind.EMERGED, date(2027, 4, 3), at=at, source=source)


def a_hold(day: int, hour: int, source: Source) -> HoldRow:
    return HoldRow(
        first_on=TOLD_ON,
        last_on=TOLD_ON,
        source=source,
        recorded_at=datetime(2027, 4, day, hour, 0, tzinfo=UTC),
    )


AREA_HOLD = AreaHoldRow(
    area_id=3,
    first_on=TOLD_ON,
    last_on=TOLD_ON,
    recorded_at=datetime(2027, 4, 4, 8, 0, tzinfo=UTC),
)
AREA_BOOK = LocalityBook(holds=(AREA_HOLD,), spans=(), values=(), store_c={3: 24})


@pytest.mark.parametrize(
    ("own", "count"),
    [
        pytest.param(a_plot(facts=[news(4, 6, Source.TEXT)]), 0, id="on the day"),
        pytest.param(a_plot(facts=[news(3, 6, Source.TEXT)]), 0, id="on the evening's day"),
        pytest.param(a_plot(facts=[news(2, 6, Source.TEXT)]), 1, id="before the text left"),
        pytest.param(a_plot(facts=[news(2, 22, Source.TEXT)]), 0, id="after local midnight"),
        pytest.param(a_plot(facts=[news(4, 6, Source.CALL)]), 1, id="by call"),
        pytest.param(
            a_plot(facts=[news(4, 6, Source.CALL), news(4, 7, Source.TEXT)]), 0, id="text last"
        ),
        pytest.param(
            a_plot(facts=[news(4, 6, Source.TEXT), news(4, 7, Source.CALL)]), 1, id="call last"
        ),
        pytest.param(a_plot(holds=[a_hold(4, 6, Source.TEXT)]), 0, id="the grower's own rain"),
        pytest.param(
            a_plot(facts=[news(4, 6, Source.TEXT)], book=AREA_BOOK), 1, id="then rain in the area"
        ),
    ],
)
def test_what_the_growers_own_text_has_moved_is_not_said_again(own: Planned, count: int) -> None:
    assert len(wrong(own)) == count


RAIN = wrong(a_plot(moved=(MoveReason.HOLD,)))
OTHER = wrong(a_plot())
RAIN_LATER = [
    Wrong(planned=RAIN[0].planned, dose=a_row(4, date(2027, 4, 14)), told_on=LATER, by_hold=True)
]


def texts(
    found: list[Wrong], *said: str, now: datetime = NOON
) -> list[tuple[str, str, date, object]]:
    return [
        (text.kind, text.key, text.evening, text.fields)
        for text in corrections(7, found, said=said, now=now, zone=DAR)
    ]


def test_all_that_rain_holds_is_one_text_and_each_other_dose_one_more() -> None:
    held = ("rain_hold", "rain_hold:7:903.2027-04-04,904.2027-04-07", TODAY)
    other = ("withdrawn", "withdrawn:7:903.2027-04-04", TODAY)

    assert texts([*RAIN, *RAIN_LATER]) == [(*held, {"codes": ["A3", "A4"]})]
    assert texts(OTHER) == [(*other, {"code": "A3", "plot": "A"})]


def test_a_text_for_the_night_is_the_next_days() -> None:
    assert [day for _, _, day, _ in texts(RAIN, now=NIGHT)] == [date(2027, 4, 5)]


@pytest.mark.parametrize(
    "said", ["rain_hold:7:904.2027-04-07,903.2027-04-04", "withdrawn:7:903.2027-04-04"]
)
def test_a_dose_is_put_right_once(said: str) -> None:
    assert texts(RAIN, said) == []
    assert texts(OTHER, said) == []
    assert [key for _, key, _, _ in texts([*RAIN, *RAIN_LATER], "withdrawn:7:903.2027-04-04")] == [
        "rain_hold:7:904.2027-04-07"
    ]


def test_a_dose_told_of_in_another_text_is_still_to_be_put_right() -> None:
    assert len(texts(RAIN, "rain_hold:7:903.2027-04-03", "jobs:7:903.2027-04-04")) == 1


@pytest.mark.parametrize("now", [NOON, NIGHT])
def test_a_dose_put_right_at_night_is_called_about(now: datetime) -> None:
    task = Task(
        kind=TaskKind.HELD,
        key="903.2027-04-04",
        household_id=HOME,
        dose_id=DOSE_ID,
        planting_id=PLANTING,
    )

    assert night_tasks(RAIN, now=now, zone=DAR) == ([task] if now is NIGHT else [])
