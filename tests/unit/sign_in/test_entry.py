"""Signing in: the same refusal for all that is wrong, growing waits, each code once."""

from threading import Barrier, Thread

import pytest

from service.records.staff import SignInTryRow
from service.sign_in.delays import WaitError
from service.sign_in.entry import CodeRefusedError, PasswordAgainError, SignInRefusedError
from service.sign_in.passwords import BusyError
from tests.unit.sign_in.gate import AWAY, HOME, CountingHasher, Gate

WRONG = "another 7 ladders"


def fail(gate: Gate, name: str, *, address: str = HOME) -> str:
    with pytest.raises(SignInRefusedError) as caught:
        gate.knock(name, WRONG, address=address)
    return caught.value.sentence


def waiting(gate: Gate, name: str, *, address: str = HOME) -> int:
    with pytest.raises(WaitError) as caught:
        gate.knock(name, address=address)
    return caught.value.seconds


def test_the_right_password_and_a_code_let_a_person_in(gate: Gate) -> None:
    member = gate.member()

    staff = gate.enter(gate.knock(" Asha.M "), gate.code(member.secret))

    assert (staff.id, staff.association_id, staff.name) == (member.id, 1, "asha.m")


@pytest.mark.parametrize("name", ["asha.m", "nobody", "new", "' OR 1=1 --", "", "\0", "\ud800"])
def test_all_that_is_wrong_is_refused_alike_and_after_the_same_work(
    gate: Gate, hasher: CountingHasher, name: str
) -> None:
    """`asha.m` is there, `nobody` is not, `new` has no password yet."""
    gate.member()
    gate.added("new")
    hasher.checks = 0

    sentence = fail(gate, name)

    assert sentence == "The name or the password is not right. Type both again."
    assert hasher.checks == 1


def test_a_password_too_long_to_be_one_costs_no_hashing(gate: Gate, hasher: CountingHasher) -> None:
    gate.member()
    hasher.checks = 0

    for name in ("asha.m", "nobody"):
        with pytest.raises(SignInRefusedError):
            gate.knock(name, "x" * 1_000_000, address=name)

    assert hasher.checks == 0


def test_wrong_passwords_wait_longer_each_time_and_nobody_is_locked_out(gate: Gate) -> None:
    gate.member()
    waits = []
    for _ in range(8):
        fail(gate, "asha.m")
        waits.append(waiting(gate, "asha.m"))
        gate.wait(waits[-1])

    assert waits == [1, 2, 4, 8, 16, 32, 60, 60]
    assert gate.knock("asha.m")


def test_the_owner_comes_in_from_elsewhere_while_a_stranger_waits(gate: Gate) -> None:
    gate.member()
    for _ in range(30):
        fail(gate, "asha.m", address=AWAY)
        gate.wait(60)
    fail(gate, "asha.m", address=AWAY)

    assert gate.knock("asha.m", address=HOME)
    assert waiting(gate, "asha.m", address=AWAY) == 60


def test_an_address_waits_whichever_names_it_tries(gate: Gate) -> None:
    gate.member()
    fail(gate, "nobody")
    gate.wait(1)
    fail(gate, "nobody.else")

    assert waiting(gate, "asha.m") == 2


def test_a_try_while_waiting_is_not_counted_and_costs_no_hashing(
    gate: Gate, hasher: CountingHasher
) -> None:
    gate.member()
    fail(gate, "asha.m")
    hasher.checks = 0

    assert [waiting(gate, "asha.m") for _ in range(5)] == [1] * 5
    assert hasher.checks == 0


def test_a_success_clears_the_failures(gate: Gate) -> None:
    gate.member()
    for _ in range(4):
        fail(gate, "asha.m")
        gate.wait(60)
    gate.knock("asha.m")

    fail(gate, "asha.m")

    assert waiting(gate, "asha.m") == 1


def test_many_tries_at_once_are_one_try(gate: Gate) -> None:
    gate.member()
    start, outcomes = Barrier(4), []

    def guess() -> None:
        start.wait(timeout=10)
        try:
            gate.knock("asha.m", WRONG)
        except (SignInRefusedError, WaitError, BusyError) as error:
            outcomes.append(type(error))

    threads = [Thread(target=guess) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=10)

    assert len(outcomes) == 4
    assert outcomes.count(SignInRefusedError) == 1


def test_who_is_turned_away_for_the_crowd_is_not_counted(gate: Gate) -> None:
    gate.member()
    with (
        gate.entrance.passwords.place(),
        gate.entrance.passwords.place(),
        pytest.raises(BusyError),
    ):
        gate.knock("asha.m")

    assert gate.knock("asha.m")


def test_neither_name_nor_address_stands_in_the_table(gate: Gate) -> None:
    fail(gate, "nobody.here")

    with gate.sessions.read() as session:
        keys = [row.key for row in session.query(SignInTryRow)]
    assert len(keys) == 2
    assert not any("nobody" in key or "192" in key.partition(":")[0] for key in keys)
    assert not any(HOME in key for key in keys)


def test_a_code_counts_once(gate: Gate) -> None:
    member = gate.member()
    halfway, code = gate.knock(member.name), gate.code(member.secret)
    gate.enter(halfway, code)

    with pytest.raises(CodeRefusedError):
        gate.enter(halfway, code)


def test_a_recovery_code_counts_once(gate: Gate) -> None:
    member = gate.member()
    first, second, *_ = member.recovery_codes

    assert gate.enter(gate.knock(member.name), first.lower().replace("-", " ")).id == member.id
    with pytest.raises(CodeRefusedError):
        gate.enter(gate.knock(member.name), first)
    gate.wait(1)
    assert gate.enter(gate.knock(member.name), second).id == member.id


def test_a_recovery_code_of_another_person_is_refused(gate: Gate) -> None:
    member, other = gate.member(), gate.member("juma")

    with pytest.raises(CodeRefusedError):
        gate.enter(gate.knock(member.name), other.recovery_codes[0])


@pytest.mark.parametrize("typed", ["١٢٣٤٥٦", "12345", "", "abc", "\ud800", "0" * 100_000])
def test_what_is_no_code_is_refused(gate: Gate, typed: str) -> None:
    halfway = gate.knock(gate.member().name)

    with pytest.raises(CodeRefusedError):
        gate.enter(halfway, typed)


def fail_codes(gate: Gate, halfway: str, *, times: int) -> None:
    for _ in range(times):
        with pytest.raises(CodeRefusedError):
            gate.enter(halfway, "no code")
        gate.wait(60)


def test_the_fifth_wrong_code_asks_for_the_password_again(gate: Gate) -> None:
    member = gate.member()
    halfway = gate.knock(member.name)
    fail_codes(gate, halfway, times=4)

    with pytest.raises(PasswordAgainError, match="your name and your password"):
        gate.enter(halfway, "no code")
    gate.wait(60)
    with pytest.raises(PasswordAgainError):  # also with the right code, by the old token
        gate.enter(halfway, gate.code(member.secret))
    assert gate.enter(gate.knock(member.name), gate.code(member.secret)).id == member.id


def test_wrong_codes_wait_longer_each_time_also_after_the_password_again(gate: Gate) -> None:
    member = gate.member()
    fail_codes(gate, gate.knock(member.name), times=4)
    with pytest.raises(PasswordAgainError):
        gate.enter(gate.knock(member.name), "no code")

    with pytest.raises(WaitError) as caught:
        gate.enter(gate.knock(member.name), gate.code(member.secret))

    assert caught.value.seconds == 16


def test_a_right_code_clears_the_wrong_ones(gate: Gate) -> None:
    member = gate.member()
    halfway = gate.knock(member.name)
    fail_codes(gate, halfway, times=4)
    gate.enter(halfway, gate.code(member.secret))
    gate.wait(60)

    fail_codes(gate, gate.knock(member.name), times=4)


def test_halfway_lasts_ten_minutes(gate: Gate) -> None:
    member = gate.member()
    halfway = gate.knock(member.name)
    gate.wait(600)

    with pytest.raises(PasswordAgainError):
        gate.enter(halfway, gate.code(member.secret))


@pytest.mark.parametrize("token", ["", "nonsense", "\ud800", "x" * 5000])
def test_a_token_that_was_not_given_out_is_refused(gate: Gate, token: str) -> None:
    with pytest.raises(PasswordAgainError):
        gate.enter(token, "123456")


def test_what_was_sealed_for_another_use_is_no_token(gate: Gate) -> None:
    member = gate.member()
    sealed = gate.row(member.id).totp_sealed
    assert sealed is not None

    with pytest.raises(PasswordAgainError):
        gate.enter(sealed, gate.code(member.secret))
