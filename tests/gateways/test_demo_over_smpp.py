"""The demo's first weeks through an SMPP message centre end as they do on the fake's phones."""

from pathlib import Path

import pytest

from service.cli.demo_season import SEASON_START, ZONE, take_in_once
from service.demo.behaviour import load_growers
from service.demo.centre import Centre, CentrePhones
from service.demo.hands import OwnHands, no_wait
from service.demo.invariants import broken_rules
from service.demo.season import Season
from service.demo.setting_up import Place
from service.demo.summary import summary
from service.errors import RefusedError
from tests.gateways.peers.driver import HERE, NODE_MODULES

DEPLOY = Path(__file__).parents[2] / "deploy"
DAYS = 16  # invitations, answers, the first doses, and the coordinator's calls


def nothing(_line: str) -> None:
    """Say nothing."""


def season_of(place: Place, centre: Centre | None) -> tuple[str, list[str]]:
    """Play the first weeks; return the summary and the rules that did not hold."""
    port = None if centre is None else centre.port
    services = place.open(start=SEASON_START, centre_port=port)
    take_in_once(services, DEPLOY)
    lane = services.lane()
    assert lane is not None
    behind = None if centre is None else CentrePhones(centre, services, lane)
    season = Season(
        services=services,
        lane=lane,
        growers=load_growers(DEPLOY / "growers.toml"),
        zone=ZONE,
        first_on=SEASON_START.date(),
        say=nothing,
        phones=services.pretend_phones() if behind is None else behind,
        hands=OwnHands(services=services, settle=no_wait if behind is None else behind.settle),
        days=DAYS,
    )
    season.play()
    told = summary(services, lane), broken_rules(services, lane, season.phones)
    services.close(drain_s=5)
    services.sessions.engine.dispose()
    return told


@pytest.mark.slow
@pytest.mark.long
def test_both_ways_end_alike_and_keep_every_rule(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NODE_PATH", str(NODE_MODULES))
    by_fake, _ = season_of(Place(folder=tmp_path / "fake"), None)
    centre = Centre(["node", str(HERE / "smsc.js"), "--port", "0"])
    try:
        by_smpp, broken = season_of(Place(folder=tmp_path / "smpp"), centre)
        submits = centre.submits()
    finally:
        centre.close()

    assert by_smpp.splitlines() == by_fake.splitlines()
    assert broken == []
    assert len(submits) > 100


@pytest.mark.parametrize("command", [["no-such-program"], ["true"]])
def test_a_centre_that_does_not_start_is_refused_plainly(command: list[str]) -> None:
    with pytest.raises(RefusedError, match=r"use ./deploy/demo, which sets it up"):
        Centre(command)
