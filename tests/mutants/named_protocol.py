"""Named faults in how a text leaves: a lease not heeded, an answer believed that is another's."""

from tests.mutants.named import Named

_CLAIM = "service/outbox/claim.py"
_DISPATCHER = "service/dispatch/dispatcher.py"
_DUE = "service/outbox/due.py"
_OVERDUE = "service/outbox/overdue.py"
_RECEIPTS = "service/outbox/receipts.py"
_RECEIVER = "service/dispatch/receiver.py"

NAMED_PROTOCOL: tuple[Named, ...] = (
    Named(
        name="an answer to another claim is believed",
        file=_RECEIPTS,
        old="if row.token != item.token or row.state not in _ANSWERABLE:",
        new="if row.state not in _ANSWERABLE:",
    ),
    Named(
        name="a yes to another claim is believed with the rest of its batch",
        file="service/outbox/batch_writes.py",
        old="if (item.id, item.token) in held]",
        new="if (held := {(i.id, i.token): False for i in texts})]",
    ),
    Named(
        name="two texts go to one phone on one evening",
        file="service/dispatch/last_look.py",
        old='        return "one text a day" if others else None\n',
        new="        return None\n",
    ),
    Named(
        name="a lease that ran out is not looked at before the send",
        file=_CLAIM,
        old="    if now >= claim.expires_at:\n",
        new="    if False:\n",
    ),
    Named(
        name="a worker that overslept hands its texts over",
        file=_DISPATCHER,
        old="        if self._watch.monotonic() >= until:\n",
        new="        if False:\n",
    ),
    Named(
        name="what a lease that ran out still held is sent again",
        file=_OVERDUE,
        old='step(session, row, Event.LOSE, now=now, detail="lease ran out")',
        new='step(session, row, Event.REQUEUE, now=now, detail="lease ran out")',
    ),
    Named(
        name="what came of a batch is written down after the next is claimed",
        file=_DISPATCHER,
        old=(
            "            claim = self._next(said, go_on=self._watch.go_on())\n"
            "            if said is not None:\n"
            '                mark("after-settle")\n'
            "            if claim is None:\n"
            "                return sent\n"
            '            mark("after-claim")\n'
        ),
        new=(
            "            claim = self._next(None, go_on=self._watch.go_on())\n"
            "            if claim is not None:\n"
            '                mark("after-claim")\n'
            "            if said is not None:\n"
            "                self._keep(said)\n"
            "            if claim is None:\n"
            "                return sent\n"
        ),
    ),
    Named(
        name="what the gateway said is lost with a connection",
        file=_DISPATCHER,
        old="                if tries_left == 0:\n",
        new="                if True:\n",
    ),
    Named(
        name="a text claimed by one worker is claimed by another",
        file=_DUE,
        old="            MessageRow.state == State.QUEUED,\n",
        new="            MessageRow.state.in_((State.QUEUED, State.CLAIMED)),\n",
    ),
    Named(
        name="a refusal after the lease counts against the route",
        file=_RECEIPTS,
        old="    in_time = row.state is State.CLAIMED\n",
        new="    in_time = True\n",
    ),
    Named(
        name="two claims of one text look alike",
        file=_CLAIM,
        old="{due.tries}:{at}",
        new="{due.tries}",
    ),
    Named(
        name="a claim that never was ends another's lease",
        file=_RECEIPTS,
        old='    ClaimRow.expires_at == bindparam("ends", type_=UtcDateTime()),\n',
        new="",
    ),
    Named(
        name="what was never handed over is left in doubt",
        file=_DISPATCHER,
        old="        if claim is not None:\n            self._keep(Said(claim=claim",
        new="        if claim is not None and False:\n            self._keep(Said(claim=claim",
    ),
    Named(
        name="a text from a phone is acknowledged before it is stored",
        file=_RECEIVER,
        old="                self.take(left[0])\n                gateway.ack(left.pop(0))\n",
        new="                gateway.ack(left[0])\n                self.take(left.pop(0))\n",
    ),
    Named(
        name="what could not be stored is not given back to the gateway",
        file=_RECEIVER,
        old="            for event in reversed(left):",
        new="            for event in left[:0]:",
    ),
)
