"""What must hold after a season, checked from the rows and from what the pretend phones hold."""

from collections import Counter
from collections.abc import Iterator
from datetime import datetime

from service.agronomy.season import plan_season
from service.bootstrap import Services
from service.demo.can_rules import CanRules
from service.demo.phones import Phones
from service.demo.plan_log import stale_plans
from service.demo.text_rules import notices_twice, told_after_taken_back
from service.dispatch.dispatcher import Lane
from service.messages.kinds import KINDS
from service.messages.lifecycle import ENDED, STILL_HERE, State
from service.planning.planner import MAX_TEXTS_A_DOSE
from service.planning.season_facts import season_facts
from service.planning.send_window import is_quiet, zone_of
from service.records.engine import Session
from service.records.people import Consent
from service.records.phones import PhoneBundle, phones
from service.records.plantings import all_plantings, association
from service.records.season_report import all_messages, claimed_at, dose_links
from service.records.traffic import MessageDoseRow, MessageRow


def broken_rules(services: Services, lane: Lane, far_end: Phones) -> list[str]:
    """Return one sentence for each rule that does not hold; none when all is well."""
    with services.sessions.read() as session:
        season = _Season(session, lane.association_id, services.clock())
        found = list(season.faults())
        tokens = Counter(text.token for text in far_end.submitted())
        found += [
            f"text {token[:6]} was submitted {count} times"
            for token, count in tokens.items()
            if count > 1
        ]
        held = {text.token: text.text for text in far_end.texts()}
        found += [
            f"message {row.id} is delivered, and no phone holds it as it was written"
            for row in season.messages
            if row.state is State.DELIVERED and held.get(row.token or "") != row.body
        ]
    return found


class _Season:
    """The rows of a season."""

    def __init__(self, session: Session, association_id: int, now: datetime) -> None:
        self._now = now
        row = association(session, association_id)
        self._zone = zone_of(row.zone)
        self.messages = all_messages(session, association_id)
        self._claimed = claimed_at(session, association_id)
        self._links = dose_links(session, association_id)
        self._phones = {item.phone.id: item for item in phones(session, association_id)}
        self._plantings = {
            bundle.planting.id: bundle for bundle in all_plantings(session, association_id)
        }
        self._planting_of = {
            dose.id: key for key, bundle in self._plantings.items() for dose in bundle.doses
        }
        self._cans = CanRules(session, association_id, list(self._plantings.values()))
        self._stale = stale_plans(session, association_id)

    def faults(self) -> Iterator[str]:
        """Name each fault."""
        yield from self._lost()
        yield from self._cans.of_doses(self._plantings.values())
        yield from (
            f"planting {planting_id} was not planned by its facts at {at}"
            for at, planting_id in self._stale
        )
        left = [
            row
            for row in self.messages
            if row.id in self._claimed and row.token is not None and row.state not in STILL_HERE
        ]
        yield from notices_twice(left)
        yield from told_after_taken_back(left, self._claimed, self._links)
        yield from self._texts(left)

    def _texts(self, left: list[MessageRow]) -> Iterator[str]:
        evenings: Counter[tuple[int | None, object]] = Counter()
        told: Counter[int] = Counter()
        for row in left:
            at = self._claimed[row.id]
            phone = self._phones.get(row.phone_id or 0)
            if phone is not None:
                yield from self._consent(row, phone, at)
            if row.evening is None or KINDS[row.kind].beyond_limits:
                continue
            if is_quiet(at, self._zone):
                yield f"message {row.id} left in quiet hours"
            evenings[row.phone_id, at.astimezone(self._zone).date()] += 1
            links = self._links.get(row.id, [])
            for link in links:
                told[link.dose_id] += 1
                yield from self._dose(row, link)
            if links:
                doses = [(link, self._plantings[self._planting_of[link.dose_id]]) for link in links]
                yield from self._cans.of_text(row, doses, at)
        yield from (
            f"phone {phone_id} got {count} texts on {day}"
            for (phone_id, day), count in evenings.items()
            if count > 1
        )
        yield from (
            f"dose {dose_id} was told {count} times"
            for dose_id, count in told.items()
            if count > MAX_TEXTS_A_DOSE
        )

    def _lost(self) -> Iterator[str]:
        for row in self.messages:
            waits = row.state is State.QUEUED and row.expires_at > self._now
            if row.state not in ENDED | {State.UNKNOWN, State.SUBMITTED} and not waits:
                yield f"message {row.id} is {row.state} and nothing will happen to it"

    def _consent(self, row: MessageRow, phone: PhoneBundle, at: datetime) -> Iterator[str]:
        own = [
            event
            for event in phone.consents
            if event.recorded_at <= at and event.kind is not Consent.VERBAL
        ]
        stopped = bool(own) and own[-1].kind in (Consent.STOPPED, Consent.REFUSED)
        agreed = bool(own) and own[-1].kind is Consent.GIVEN
        started = row.evening is not None and row.kind != "consent"
        if stopped and row.kind != "stop_ok":
            yield f"message {row.id} left after STOP"
        if started and not agreed:
            yield f"message {row.id} left without consent"

    def _dose(self, row: MessageRow, link: MessageDoseRow) -> Iterator[str]:
        bundle = self._plantings[self._planting_of[link.dose_id]]
        plan = plan_season(season_facts(bundle))
        if link.due_on > plan.cutoff_on:
            yield f"message {row.id} tells of a dose after the cut-off"
