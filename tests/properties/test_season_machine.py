"""A season in arbitrary order: whatever happens, the rules of `season_watch` hold.

Planner, outbox, parser and confirmations run as in life, with the fake gateway and a SQLite file.
"""

import shutil
import tempfile
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    precondition,
    rule,
    run_state_machine_as_test,
)
from typing_extensions import override

from gateway_adapters.fake_script import (
    LateReceipt,
    ReceiptFirst,
    Step,
)
from service.agronomy.calendar import add_days, days_between
from service.agronomy.containers import CanEventKind
from service.dispatch.dispatcher import Lane
from service.records.inbox import mark_read, reading_list
from service.records.people import Consent
from tests.properties.season_events import (
    CAN_NEWS,
    DOSE_WORDS,
    FAULTS,
    FIRST,
    LETTERS,
    REPORTS,
    WORDS,
    Home,
    Report,
    days_ago,
    homes,
    places,
)
from tests.properties.season_watch import Watch
from tests.world import ZONE, Enrolled, World, doses, enrol
from tests.world_facts import by_call, can_event, consent_said

START = datetime(2027, 3, 1, 9, 0, tzinfo=ZONE)


class SeasonMachine(RuleBasedStateMachine):
    """Growers, a coordinator, a network and the calendar, each doing what it likes."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.world = World(folder=self.folder, now=START)
        self.watch = Watch(world=self.world)
        self.planted: list[Enrolled] = []
        self.numbers: list[str] = []

    @override
    def teardown(self) -> None:
        self.world.close()
        shutil.rmtree(self.folder)

    @initialize()
    def begin(self) -> None:
        """Begin with one household, so that every rule has somebody to act on."""
        self._enrol(FIRST)

    @precondition(lambda self: len(self.planted) < len(LETTERS))
    @rule(home=homes)
    def another_household(self, home: Home) -> None:
        """Enrol one more, on a phone of its own or another's."""
        self._enrol(home)

    @rule(hours=st.integers(1, 30))
    def hours_pass(self, hours: int) -> None:
        """Miss whatever would have happened on the way: a lost step costs delay only."""
        self._to(self.world.now + timedelta(hours=hours))

    @rule(evenings=st.integers(1, 3))
    def evenings_pass(self, evenings: int) -> None:
        """Let evenings pass."""
        for _ in range(evenings):
            self._to_hour(18)

    @rule(evenings=st.integers(4, 9))
    def a_week_or_so_passes(self, evenings: int) -> None:
        """Let more evenings pass."""
        for _ in range(evenings):
            self._to_hour(18)

    @rule(hour=st.sampled_from([6, 17, 18, 19, 20, 22]))
    def a_certain_hour_comes(self, hour: int) -> None:
        """Go to the next such hour, by day or by night."""
        self._to_hour(hour)

    @rule(words=st.sampled_from(WORDS), place=places, of=places, number=st.integers(1, 7))
    def a_phone_texts(self, words: str, place: int, of: int, number: int) -> None:
        """Send any text from any phone, about any plot, its own or another's."""
        self._text(place, self._fill(words, of, number))

    @rule(place=places, words=st.sampled_from(DOSE_WORDS))
    def a_phone_tells_of_its_nearest_dose(self, place: int, words: str) -> None:
        """Send what growers mostly send."""
        today = self.world.now.date()
        nearest = min(
            doses(self.world, self._plot(place)),
            key=lambda dose: abs(days_between(dose.due_on, today)),
        )
        self._text(place, self._fill(words, place, nearest.number))

    @rule(place=places, words=st.sampled_from(["START", "START", "YES", None]))
    def consent_is_spoken_of(self, place: int, words: str | None) -> None:
        """Consent from the phone, for the first time or again; None: face to face."""
        if words is not None:
            self._text(place, words)
            return
        self.world.now += timedelta(seconds=1)  # the record's key holds the second
        consent_said(self.world, self._plot(place), Consent.VERBAL)
        self._step()

    @rule(place=places, words=st.sampled_from(WORDS), number=st.integers(1, 7))
    def a_text_comes_between_claim_and_send(self, place: int, words: str, number: int) -> None:
        """Let a text be taken in while others are claimed and not yet submitted."""
        waiting = [self._fill(words, place, number)]

        def once(point: str) -> None:
            if point == "after-claim" and waiting:
                self.world.gateway.answer(self.numbers[place % len(self.numbers)], waiting.pop())
                self._receive()

        self.world.mark = once
        self._to_hour(18)

    @rule(place=places, ago=days_ago, number=st.integers(1, 7), what=st.sampled_from(REPORTS))
    def the_coordinator_enters_a_call(
        self, place: int, ago: int, number: int, what: Report
    ) -> None:
        """Enter a fact that was said on the telephone, right or wrong."""
        planting_id, on = self._plot(place).planting_id, add_days(self.world.now.date(), -ago)
        by_call(self.world, lambda desk: what(desk, planting_id, number, on))
        self._step()

    @rule(place=places, kind=st.sampled_from(CAN_NEWS), ago=st.integers(0, 40))
    def something_happens_to_a_container(self, place: int, kind: CanEventKind, ago: int) -> None:
        """Enter an event of a container, perhaps long after its day."""
        index, on = place % len(self.planted), add_days(self.world.now.date(), -ago)
        can_event(self.world, self.planted[index], kind, on, number=index + 1)
        self._step()

    @rule()
    def the_coordinator_reads_everything(self) -> None:
        """Empty the reading list."""
        with self.world.services.sessions.begin() as session:
            for row in reading_list(session, 1):
                mark_read(session, 1, row.id, who="test", now=self.world.clock())
        self._step()

    @rule(fault=st.sampled_from(FAULTS), times=st.integers(1, 3))
    def the_network_will_fail(self, fault: Step | int, times: int) -> None:
        """Script what becomes of the next texts; a number is a receipt's delay in hours."""
        step = fault
        if isinstance(step, int):
            step = LateReceipt(due_at=self.world.clock() + timedelta(hours=step))
        if isinstance(step, ReceiptFirst):
            step = ReceiptFirst(meanwhile=self._receive)
        self.world.gateway.script += [step] * times

    @rule()
    def planning_runs_twice(self) -> None:
        """Plan once more and once more."""
        for _ in range(2):
            self.world.services.plan(self._lane())
        self._step()

    def _enrol(self, home: Home) -> None:
        place, today = len(self.planted), self.world.now.date()
        enrolled = enrol(
            self.world,
            code=f"H{place:02d}",
            number=home.number,
            letter=LETTERS[place],
            crop=home.crop,
            planted_on=add_days(today, -home.sown_ago),
            regime=home.regime,
            sealed_on=None if home.sealed_ago is None else add_days(today, -home.sealed_ago),
            can=place + 1,
            consent=home.consent,
            water_ratio=home.water_ratio,
            needs_call=home.needs_call,
        )
        self.planted.append(enrolled)
        self.numbers.append(home.number)
        self._step()

    def _plot(self, place: int) -> Enrolled:
        return self.planted[place % len(self.planted)]

    def _fill(self, words: str, place: int, number: int) -> str:
        letter = LETTERS[place % len(self.planted)]
        return words.format(dose=f"{letter}{number}", plot=letter)

    def _text(self, place: int, words: str) -> None:
        self.world.gateway.answer(self.numbers[place % len(self.numbers)], words)
        self._step()

    def _to_hour(self, hour: int) -> None:
        then = self.world.now.replace(hour=hour, minute=0, second=0)
        self._to(then if then > self.world.now else then + timedelta(days=1))

    def _to(self, then: datetime) -> None:
        self.world.now = then
        self._step()

    def _step(self) -> None:
        self.world.services.step()
        self.watch.look()

    def _lane(self) -> Lane:
        lane = self.world.services.lane()
        assert lane is not None
        return lane

    def _receive(self) -> None:
        self.world.services.receiver(self._lane()).run_once()


@pytest.mark.slow
@pytest.mark.long
def test_the_rules_hold_in_whatever_order_a_season_goes() -> None:
    run_state_machine_as_test(
        SeasonMachine,
        settings=settings(
            max_examples=16,
            stateful_step_count=50,
            deadline=None,
            phases=[Phase.explicit, Phase.reuse, Phase.generate],  # shrinking takes many minutes
            suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
        ),
    )
