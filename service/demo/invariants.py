"""What must hold after a season, checked from the rows and from what the pretend phones hold."""

from collections import Counter
from collections.abc import Iterator
from datetime import datetime

from service.agronomy.season import plan_season
from service.bootstrap import Services
from service.dispatch.dispatcher import Lane
from service.messages.kinds import KINDS
from service.messages.lifecycle import ENDED, STILL_HERE, State
from service.planning.cans import cans_by_household
from service.planning.planner import MAX_TEXTS_A_DOSE
from service.planning.season_facts import season_facts
from service.planning.send_window import is_quiet, zone_of
from service.planning.stock import ready_can
from service.records.engine import Session
from service.records.people import Consent
from service.records.phones import PhoneBundle, phones
from service.records.plantings import PlantingBundle, all_plantings, association
from service.records.season_report import all_messages, claimed_at, dose_links
from service.records.traffic import MessageDoseRow, MessageRow


def broken_rules(services: Services, lane: Lane) -> list[str]:
    """Return one sentence for each rule that does not hold; none when all is well."""
    with services.sessions.read() as session:
        season = _Season(session, lane.association_id, services.clock())
        found = list(season.faults())
        tokens = Counter(text.token for text in services.pretend_phones().submitted())
        found += [
            f"text {token[:6]} was submitted {count} times"
            for token, count in tokens.items()
            if count > 1
        ]
        held = {text.token: text.text for text in services.pretend_phones().texts()}
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
            dose.id: bundle
            for bundle in all_plantings(session, association_id)
            for dose in bundle.doses
        }
        today = now.astimezone(self._zone).date()
        self._cans = cans_by_household(session, row, today=today)

    def faults(self) -> Iterator[str]:
        """Name each fault."""
        yield from self._lost()
        evenings: Counter[tuple[int | None, object]] = Counter()
        told: Counter[int] = Counter()
        for row in self.messages:
            at = self._claimed.get(row.id)
            if at is None or row.token is None or row.state in STILL_HERE:
                continue
            phone = self._phones.get(row.phone_id or 0)
            if phone is not None:
                yield from self._consent(row, phone, at)
            if row.evening is None or KINDS[row.kind].beyond_limits:
                continue
            if is_quiet(at, self._zone):
                yield f"message {row.id} left in quiet hours"
            evenings[row.phone_id, at.astimezone(self._zone).date()] += 1
            for link in self._links.get(row.id, []):
                told[link.dose_id] += 1
                yield from self._dose(row, link)
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
        bundle: PlantingBundle = self._plantings[link.dose_id]
        plan = plan_season(season_facts(bundle))
        if link.due_on > plan.cutoff_on:
            yield f"message {row.id} tells of a dose after the cut-off"
        cans = self._cans.get(bundle.household.id, ())
        if ready_can(cans, on=link.due_on) is None:
            yield f"message {row.id} tells of a dose that no container was ready for"
