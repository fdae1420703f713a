"""The outgoing side without a connection: windows, timeouts, breaks and long texts."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, RejectKind
from gateway_adapters.smpp.codec import Pdu
from gateway_adapters.smpp.commands import Command
from gateway_adapters.smpp.desk import Desk, DeskNews, DeskRules
from gateway_adapters.smpp.jobs import Call, Job, Piece
from gateway_adapters.smpp.outgoing import Outgoings, not_sent
from gateway_adapters.smpp.pace import Pace
from gateway_adapters.smpp.settings import read_settings
from tests.outgoing import EVENING, an_outgoing

SETTINGS = read_settings({"host": "127.0.0.1", "port": 1, "system_id": "grower"})
LONG = "Kesho ni siku ya kumwagilia mahindi, shamba A. " * 8
UNSENT = not_sent("There was no time.")


@dataclass(slots=True)
class Table:
    """A desk, what it told, and the numbers under which its pieces fly."""

    desk: Desk
    call: Call
    jobs: list[Job]
    told: list[str] = field(default_factory=list)
    flying: dict[int, Piece] = field(default_factory=dict)
    last: int = 0

    def pump(self, now: float) -> int:
        """Let fly what may; return how many."""
        before = self.last
        while (piece := self.desk.take(now)) is not None:
            self.last += 1
            self.flying[self.last] = piece
            self.desk.flies(self.last, piece, now)
        return self.last - before

    def outcomes(self) -> list[Outcome | None]:
        """Return what came of each text so far."""
        return [job.outcome for job in self.jobs]


def a_table(*texts: str, window: int = 10, rate_per_s: float = 1e6) -> Table:
    """Return a desk with these texts waiting at second 0."""
    told: list[str] = []
    desk = Desk(
        DeskRules(window=window, answer_s=30, late_s=600, statuses={}),
        pace=Pace(rate_per_s, wait_s=1, roll=lambda: 1.0, now=0.0),
        news=DeskNews(
            taken=lambda piece: told.append(f"taken {piece.gateway_id}"),
            lost=lambda _: told.append("lost"),
            done=lambda: told.append("done"),
        ),
    )
    outgoings, call = Outgoings(SETTINGS, start=lambda: 0), Call()
    jobs = [
        job
        for place, text in enumerate(texts)
        if isinstance(
            job := outgoings.job(an_outgoing(f"m{place}", text=text), call, at=EVENING, now=0.0),
            Job,
        )
    ]
    call.unsettled = len(jobs)
    desk.enqueue(jobs)
    return Table(desk=desk, call=call, jobs=jobs, told=told)


def answer(sequence: int, gateway_id: str = "1", *, status: int = 0) -> Pdu:
    """Return an answer to a submit."""
    return Pdu(
        command=Command.SUBMIT_SM_RESP, status=status, sequence=sequence, message_id=gateway_id
    )


def test_the_window_holds_and_opens_with_each_answer() -> None:
    table = a_table(*(f"A{n}" for n in range(5)), window=2)

    assert table.pump(0) == 2
    table.desk.answered(answer(1), 0)
    assert table.pump(0) == 1
    assert table.desk.flying == 2


def test_an_overdue_answer_leaves_the_text_in_doubt_and_a_later_one_attaches() -> None:
    table = a_table("A0")
    table.pump(0)
    table.desk.tick(29.9)
    before = table.outcomes()
    table.desk.tick(30)
    table.desk.answered(answer(1, "9F"), 600)

    assert before == [None]
    assert table.outcomes() == [Ambiguous(reason="no-answer")]
    assert table.told == ["lost", "done", "taken 9F"]


def test_an_answer_after_ten_minutes_more_is_a_stray() -> None:
    table = a_table("A0")
    table.pump(0)
    table.desk.tick(30)
    table.desk.tick(630)
    table.desk.answered(answer(1), 631)

    assert table.desk.strays == 1
    assert table.told == ["lost", "done"]


def test_a_break_leaves_what_flies_in_doubt_and_what_waits_waiting() -> None:
    table = a_table("A0", "A1", "A2", window=2)
    table.pump(0)
    table.desk.withdraw(2)  # no octet of it had left
    table.desk.broke()

    assert table.outcomes() == [Ambiguous(reason="link-lost"), None, None]
    assert table.pump(1) == 2
    assert [piece.body.text for piece in table.flying.values()][-2:] == ["A1", "A2"]


def test_an_answer_of_an_earlier_connection_is_never_taken_for_a_new_ones() -> None:
    table = a_table("A0")
    table.pump(0)
    table.desk.tick(30)
    table.desk.broke()
    table.desk.answered(answer(1), 31)

    assert table.desk.strays == 1


def test_giving_up_settles_each_text_by_what_has_left() -> None:
    table = a_table("A0", "A1", "A2", window=2)
    table.pump(0)
    table.desk.answered(answer(1), 0)
    table.desk.give_up(table.call, 1, UNSENT)

    assert table.outcomes() == [
        Accepted(gateway_ids=("1",)),
        Ambiguous(reason="no-answer"),
        UNSENT,
    ]
    assert table.call.unsettled == 0


def test_a_text_whose_turn_comes_too_late_is_not_sent() -> None:
    """Valid for a day; its turn comes a second before the end, and a second after that."""
    table = a_table("A0", "A1", window=1)

    assert table.pump(86_399) == 1
    table.desk.answered(answer(1), 86_399)
    assert table.pump(86_399.5) == 0
    (_, outcome) = table.outcomes()
    assert isinstance(outcome, Rejected)
    assert (outcome.kind, outcome.code) == (RejectKind.PERMANENT, "validity-over")


def test_the_pieces_of_a_long_text_follow_its_first() -> None:
    table = a_table(LONG, "A1", window=10)

    assert table.pump(0) == 2
    table.desk.answered(answer(1, "a"), 0)
    assert table.pump(0) == 2
    table.desk.answered(answer(4, "c"), 0)
    table.desk.answered(answer(3, "b"), 0)
    assert table.outcomes() == [Accepted(gateway_ids=("a", "b", "c")), None]


def test_a_lost_first_piece_keeps_the_others_back() -> None:
    table = a_table(LONG)
    table.pump(0)
    table.desk.tick(30)

    assert table.outcomes() == [Ambiguous(reason="no-answer")]
    assert table.pump(31) == 0


def test_an_unreadable_yes_leaves_the_text_in_doubt() -> None:
    table = a_table("A0")
    table.pump(0)
    table.desk.answered(answer(1)._replace(unreadable=True, message_id=None), 0)

    assert table.outcomes() == [Ambiguous(reason="unreadable-answer")]


def test_a_generic_nack_refuses_and_asks_for_a_new_connection() -> None:
    table = a_table("A0", "A1")
    table.pump(0)
    table.desk.answered(Pdu(command=Command.GENERIC_NACK, status=3, sequence=1), 0)

    (outcome, _) = table.outcomes()
    assert isinstance(outcome, Rejected)
    assert (outcome.kind, outcome.code) == (RejectKind.TRANSIENT, "smpp-03")
    assert table.desk.must_rebind


ANSWERS = {
    "ok": lambda sequence: answer(sequence, f"g{sequence}"),
    "no": lambda sequence: answer(sequence, status=0x08),
    "full": lambda sequence: answer(sequence, status=0x58),
    "odd": lambda sequence: answer(sequence)._replace(unreadable=True),
    "nack": lambda sequence: Pdu(command=Command.GENERIC_NACK, status=3, sequence=sequence),
}
CERTAINLY_NOT_SENT = ("no", "full", "nack", "withdraw")
STEPS = st.lists(
    st.tuples(st.sampled_from([*ANSWERS, "tick", "break", "pump", "withdraw"]), st.integers(1, 12)),
    max_size=60,
)


def take_step(table: Table, step: str, sequence: int, now: float) -> None:
    """Let one thing happen at the desk."""
    if step in ANSWERS:
        table.desk.answered(ANSWERS[step](sequence), now)
    elif step == "withdraw":
        table.desk.withdraw(sequence)
    elif step == "pump":
        table.pump(now)
    elif step == "tick":
        table.desk.tick(now)
    else:
        table.desk.broke()


@given(STEPS, st.integers(1, 4))
def test_whatever_happens_nothing_flies_twice_after_doubt_and_all_is_settled(
    steps: Iterable[tuple[str, int]], window: int
) -> None:
    """No piece that may have left flies again; the window holds; the end settles everything."""
    table = a_table("A0", LONG, "A2", LONG, "A4", window=window)
    now, clear = 0.0, list[Piece]()
    for step, sequence in steps:
        now += 7
        take_step(table, step, sequence, now)
        if step in CERTAINLY_NOT_SENT and sequence in table.flying:
            clear.append(table.flying[sequence])
        assert table.desk.flying <= window
    table.desk.give_up(table.call, now, UNSENT)

    flights = list(table.flying.values())
    assert [piece for piece in flights if flights.count(piece) > 1 and piece not in clear] == []
    assert None not in table.outcomes()
    assert table.call.unsettled == 0
    for job in table.jobs:
        if isinstance(job.outcome, Accepted):
            assert len(job.gateway_ids) == len(job.pieces)


@pytest.mark.parametrize("rate_per_s", [0.5, 5.0])
def test_the_pace_holds_texts_back(rate_per_s: float) -> None:
    table = a_table("A0", "A1", rate_per_s=rate_per_s)

    assert table.pump(0) == 1
    assert table.pump(0.9 / rate_per_s) == 0
    assert table.pump(1.1 / rate_per_s) == 1
