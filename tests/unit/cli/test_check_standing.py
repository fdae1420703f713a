"""Routes that send nothing now, as the records have them."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from service.cli.check_standing import standing_findings
from service.records.engine import Sessions
from service.records.people import AssociationRow
from service.records.traffic import RouteRow
from tests.unit.cli.asking import asked_at, faults
from tests.unit.outbox.queue import EVENING, NOW, spend, two_tenants

NAMED = "one"  # the association whose route is broken; the other's says nothing


def _stop(row: RouteRow) -> None:
    row.stopped_at, row.stopped_by = NOW, "neema"


def _rest(row: RouteRow) -> None:
    row.paused_until, row.paused_for = NOW + timedelta(seconds=1), "E42"


def _spend(row: RouteRow) -> None:
    row.daily_segments = 5


def _end_rest(row: RouteRow) -> None:
    row.paused_until, row.paused_for = NOW, "E42"


def _retire(row: RouteRow) -> None:
    _stop(row)
    row.retired = True


@pytest.fixture
def tenants(
    sessions: Sessions, tmp_path: Path
) -> Callable[[Callable[[RouteRow], None]], list[str]]:
    """Two associations; what is wrong once something was done to the first one's route."""
    two_tenants(sessions)
    asked = asked_at(sessions, tmp_path)
    route = replace(asked.settings.route, association="a1")
    asked = replace(asked, settings=replace(asked.settings, routes=(route,)))

    def after(change: Callable[[RouteRow], None]) -> list[str]:
        with sessions.begin() as session:
            session.get_one(AssociationRow, 1).name = NAMED
            spend(session, 1, 1, 5, EVENING)
            change(session.get_one(RouteRow, 1))
        return faults(standing_findings(asked))

    return after


@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param(
            _stop,
            [
                (
                    "one: route main was stopped 2027-03-14 18:00 (Africa/Dar_es_Salaam). Once it"
                    " may send, let it go on, on the page Routes."
                )
            ],
            id="stopped",
        ),
        pytest.param(
            _rest,
            [
                (
                    "one: route main rests until 2027-03-14 18:00 (Africa/Dar_es_Salaam): the"
                    " gateway gave the code E42. It goes on by itself; if it rests again and again,"
                    " ask the gateway's operator."
                )
            ],
            id="resting",
        ),
        pytest.param(
            _spend,
            [
                (
                    "one: route main has sent all that it may today. Raise its daily_segments in"
                    " the settings, or let the rest wait."
                )
            ],
            id="day spent",
        ),
        pytest.param(_end_rest, [], id="rest over"),
        pytest.param(_retire, [], id="no longer in the settings"),
        pytest.param(lambda _: None, [], id="open"),
    ],
)
def test_a_route_that_sends_nothing_is_named_with_its_reason(
    tenants: Callable[[Callable[[RouteRow], None]], list[str]],
    change: Callable[[RouteRow], None],
    said: list[str],
) -> None:
    assert tenants(change) == said


def test_with_several_associations_a_route_that_names_none_is_named(
    sessions: Sessions, tmp_path: Path
) -> None:
    two_tenants(sessions)

    assert faults(standing_findings(asked_at(sessions, tmp_path))) == [
        "Route main: The database holds several associations; route.association must name one."
    ]
