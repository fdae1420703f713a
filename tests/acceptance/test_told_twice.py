"""One dose told from two phones at the same moment, on PostgreSQL with eight threads."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from threading import Barrier

import pytest

from gateway_adapters.events import Inbound
from service.records.fields import FactKind, PlantingFactRow
from service.records.people import Consent
from service.records.traffic import CallTaskRow, TaskKind
from tests import fresh
from tests.given_ids import heed_given_ids
from tests.world import OTHER_PHONE, PHONE, World, enrol
from tests.world_facts import another_phone, consent_said
from tests.world_looks import messages, rows

THREADS = 8
PATIENCE_S = 60


@pytest.fixture
def world(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[World]:
    """A world on PostgreSQL, whatever the run is for."""
    monkeypatch.setenv(fresh.KIND, "postgresql")
    heed_given_ids()
    made = World(folder=tmp_path)
    yield made
    made.close()


@pytest.mark.slow
def test_a_dose_told_from_two_phones_at_once_is_one_dose_and_one_second_report(
    world: World,
) -> None:
    """A17: each text comes four times in eight threads; 1 dose, 1 second report, 1 answer each."""
    home = enrol(world)
    other = another_phone(world, home, number=OTHER_PHONE)
    for kind in (Consent.VERBAL, Consent.GIVEN):
        consent_said(world, replace(home, phone_id=other), kind)
    world.tick("2027-03-16T12:00")
    lane = world.services.lane()
    assert lane is not None
    receiver, start = world.services.receiver(lane), Barrier(THREADS)
    told = [
        Inbound(event_id=name, sender=sender, to="15050", text=text, received_at=world.clock())
        for name, sender, text in (("e1", PHONE, "A1"), ("e2", OTHER_PHONE, "A1 15/3"))
    ]

    def take(place: int) -> None:
        start.wait(PATIENCE_S)
        receiver.take(told[place % 2])

    with ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(take, range(THREADS)))

    facts = [row.kind for row in rows(world, PlantingFactRow)]
    assert facts.count(FactKind.APPLIED) == 1
    assert facts.count(FactKind.SECOND_REPORT) == 1
    calls = [row.kind for row in rows(world, CallTaskRow)]
    assert calls.count(TaskKind.SECOND_REPORT) == 1
    answers = [row.number for row in messages(world) if row.evening is None]
    assert sorted(answers) == [PHONE, OTHER_PHONE]
