"""The last look drops what is no longer wanted; a lease that ran out leaves its texts unknown."""

from gateway_adapters.contract import Accepted
from service.outbox.claim import Claim, Claimed, drop_unwanted
from service.outbox.enqueue import DoseLink
from service.outbox.overdue import lapse_leases
from service.records.engine import Sessions
from tests.unit.outbox.queue import (
    EVENING,
    NOW,
    answer,
    claimed,
    dose,
    later,
    leases,
    message,
    queued,
    steps,
    why,
)

DOSE = DoseLink(dose_id=1, revision=1, due_on=EVENING)


def looked(
    sessions: Sessions, made: Claim, reasons: dict[int, str], *, seconds: float = 0, tenant: int = 1
) -> list[int]:
    def reason(item: Claimed) -> str | None:
        return reasons.get(item.message_id)

    with sessions.begin() as session:
        kept = drop_unwanted(session, tenant, made, now=later(seconds), reason=reason)
    return [item.message_id for item in kept.messages]


def lapse(sessions: Sessions, seconds: float, *, tenant: int = 1) -> int:
    with sessions.begin() as session:
        return lapse_leases(session, tenant, now=later(seconds))


def test_a_text_with_a_reason_is_cancelled_and_the_others_go(outbox: Sessions) -> None:
    stopped, wanted = queued(outbox, "stopped"), queued(outbox, "wanted")

    kept = looked(outbox, claimed(outbox), {stopped: "consent ended"})

    assert kept == [wanted]
    assert steps(outbox, stopped)[-1] == ("cancel", "cancelled")
    assert why(outbox, stopped) == "consent ended"
    assert message(outbox, wanted).state == "claimed"


def test_a_text_no_longer_claimed_is_not_looked_at(outbox: Sessions) -> None:
    message_id = queued(outbox)
    made = claimed(outbox)
    answer(outbox, made, Accepted())

    kept = looked(outbox, made, {message_id: "consent ended"})

    assert (kept, message(outbox, message_id).state) == ([], "submitted")


def test_another_association_cannot_look_at_a_claim(outbox: Sessions) -> None:
    message_id = queued(outbox)

    kept = looked(outbox, claimed(outbox), {message_id: "consent ended"}, tenant=2)

    assert (kept, message(outbox, message_id).state) == ([], "claimed")


def test_a_lease_that_ran_out_before_the_send_sends_nothing_and_leaves_no_text_behind(
    outbox: Sessions,
) -> None:
    message_id = queued(outbox)
    made = claimed(outbox)

    kept = looked(outbox, made, {}, seconds=120)

    assert (kept, leases(outbox)) == ([], [])
    assert message(outbox, message_id).state == "unknown"


def test_a_lease_holds_for_two_minutes_and_then_its_texts_are_unknown(outbox: Sessions) -> None:
    message_id = queued(outbox)
    claimed(outbox)

    lost = [lapse(outbox, 119.9), lapse(outbox, 120), lapse(outbox, 120)]

    assert lost == [0, 1, 0]
    assert steps(outbox, message_id)[-1] == ("lose", "unknown")
    assert (why(outbox, message_id), leases(outbox)) == ("lease ran out", [])


def test_another_association_does_not_end_a_lease(outbox: Sessions) -> None:
    queued(outbox)
    claimed(outbox)

    assert (lapse(outbox, 500, tenant=2), len(leases(outbox))) == (0, 1)


def test_a_lease_ends_only_for_what_it_still_holds(outbox: Sessions) -> None:
    dropped, held = queued(outbox, "dropped"), queued(outbox, "held")
    looked(outbox, claimed(outbox), {dropped: "dose closed"})

    lost = lapse(outbox, 120)

    assert lost == 1
    assert [message(outbox, item).state for item in (dropped, held)] == ["cancelled", "unknown"]


def test_a_text_lost_on_its_way_may_have_told_its_dose(outbox: Sessions) -> None:
    queued(outbox, doses=(DOSE,))
    claimed(outbox)
    before = dose(outbox).told

    lapse(outbox, 120)

    assert (before, dose(outbox).told) == (False, True)


def test_a_text_dropped_at_the_last_look_has_told_nothing(outbox: Sessions) -> None:
    message_id = queued(outbox, doses=(DOSE,))

    looked(outbox, claimed(outbox), {message_id: "dose changed"})

    assert dose(outbox).told is False
    assert message(outbox, message_id).changed_at == NOW
