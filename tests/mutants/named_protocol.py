"""Named faults in how a text leaves: a lease not heeded, an answer believed that is another's."""

from tests.mutants.named import Named

_CLAIM = "service/outbox/claim.py"
_DISPATCHER = "service/dispatch/dispatcher.py"
_OVERDUE = "service/outbox/overdue.py"
_RECEIPTS = "service/outbox/receipts.py"

NAMED_PROTOCOL: tuple[Named, ...] = (
    Named(
        name="an answer to another claim is believed",
        file=_RECEIPTS,
        old="if row.token != item.token or row.state not in _ANSWERABLE:",
        new="if row.state not in _ANSWERABLE:",
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
            "            self._settle(wanted, outcomes)\n"
            "            sent += len(wanted.messages)\n"
            "        return sent\n"
        ),
        new=(
            '            if late := locals().get("kept"):\n'
            "                self._settle(*late)\n"
            "            kept = (wanted, outcomes)\n"
            "            sent += len(wanted.messages)\n"
            '        if late := locals().get("kept"):\n'
            "            self._settle(*late)\n"
            "        return sent\n"
        ),
    ),
    Named(
        name="what the gateway said is lost with a connection",
        file=_DISPATCHER,
        old="                if pause_s is None:\n",
        new="                if True:\n",
    ),
    Named(
        name="a text claimed by one worker is claimed by another",
        file=_CLAIM,
        old="        MessageRow.state == State.QUEUED,\n",
        new="        MessageRow.state.in_((State.QUEUED, State.CLAIMED)),\n",
    ),
    Named(
        name="a refusal after the lease counts against the route",
        file=_RECEIPTS,
        old="        in_time = row.state is State.CLAIMED\n",
        new="        in_time = True\n",
    ),
)
