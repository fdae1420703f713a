"""A link works once within two days, and gives a password but no second factor in its place."""

import pytest

from service.errors import RefusedError
from service.records.staff import StaffCodeRow, StaffLinkRow
from service.records.staff_queries import codes_left
from service.sign_in.codes import new_totp_secret
from service.sign_in.links import (
    Chosen,
    LinkOverError,
    finish_link,
    prove_totp,
    spend_link,
    take_link,
)
from service.sign_in.visits import open_visit, visit_of
from tests.unit.sign_in.gate import PASSWORD, Gate

OTHER_PASSWORD = "seven kettles under oak"  # noqa: S105 -- made up for the tests


def taken(gate: Gate, token: str) -> int | None:
    with gate.sessions.read() as session:
        staff = take_link(session, token, now=gate.now)
    return None if staff is None else staff.id


def test_a_link_tells_whose_it_is_and_looking_does_not_use_it_up(gate: Gate) -> None:
    staff_id = gate.added()
    token = gate.link(staff_id)

    assert [taken(gate, token) for _ in range(2)] == [staff_id, staff_id]


@pytest.mark.parametrize("changed", ["A", "é", "\ud800", "\0"])
def test_a_link_with_a_character_changed_is_unknown(gate: Gate, changed: str) -> None:
    token = gate.link(gate.added())

    assert taken(gate, token[:-1] + changed + changed) is None


def test_a_link_works_for_48_hours(gate: Gate) -> None:
    token = gate.link(gate.added())
    gate.wait(48 * 3600 - 1)
    assert taken(gate, token) is not None

    gate.wait(1)

    with pytest.raises(LinkOverError, match="ask an administrator for a new one"):
        taken(gate, token)


def test_a_link_works_once(gate: Gate) -> None:
    token = gate.link(gate.added())
    gate.finished(token, new_totp_secret())

    with pytest.raises(LinkOverError):
        taken(gate, token)
    with pytest.raises(LinkOverError), gate.sessions.begin() as session:
        spend_link(session, token, now=gate.now)


def test_a_new_link_ends_the_earlier_ones_of_that_person_only(gate: Gate) -> None:
    asha, juma = gate.added("asha"), gate.added("juma")
    earlier, other = gate.link(asha), gate.link(juma)

    newest = gate.link(asha)

    with pytest.raises(LinkOverError):
        taken(gate, earlier)
    assert (taken(gate, newest), taken(gate, other)) == (asha, juma)


def test_only_the_hash_of_a_link_and_of_recovery_codes_is_kept(gate: Gate) -> None:
    member = gate.member()
    token = gate.link(member.id)

    with gate.sessions.read() as session:
        kept = [row.token_hash for row in session.query(StaffLinkRow)]
        kept += [row.code_hash for row in session.query(StaffCodeRow)]
    assert len(kept) == 12  # two links, ten codes
    assert not any(token in line or member.recovery_codes[0] in line for line in kept)
    sealed = gate.row(member.id).totp_sealed
    assert sealed is not None
    assert member.secret not in sealed


def test_finishing_gives_the_password_the_second_factor_and_ten_codes(gate: Gate) -> None:
    staff_id, secret = gate.added(), new_totp_secret()

    done = gate.finished(gate.link(staff_id), secret)

    assert done.staff.id == staff_id
    assert len(done.recovery_codes) == 10
    gate.wait(60)
    assert gate.enter(gate.knock("asha.m"), gate.code(secret)).id == staff_id


def test_the_code_that_proved_the_app_does_not_sign_in_as_well(gate: Gate) -> None:
    secret = new_totp_secret()
    gate.finished(gate.link(gate.added()), secret)

    with pytest.raises(Exception, match="used already"):
        gate.enter(gate.knock("asha.m"), gate.code(secret))


def test_a_link_cannot_be_finished_without_a_second_factor(gate: Gate) -> None:
    staff_id = gate.added()
    token = gate.link(staff_id)

    with pytest.raises(RefusedError) as caught:
        gate.finished(token, None)

    assert caught.value.code == "second-factor"
    assert taken(gate, token) == staff_id
    assert gate.row(staff_id).password_hash is None


def test_a_later_link_changes_the_password_and_leaves_the_second_factor(gate: Gate) -> None:
    member = gate.member()

    done = gate.finished(gate.link(member.id), new_totp_secret(), password=OTHER_PASSWORD)

    assert done.recovery_codes == ()
    with pytest.raises(Exception, match="not right"):
        gate.knock(member.name, PASSWORD)
    gate.wait(60)
    halfway = gate.knock(member.name, OTHER_PASSWORD)
    assert gate.enter(halfway, gate.code(member.secret)).id == member.id
    with gate.sessions.read() as session:
        assert codes_left(session, 1, member.id) == 10


def test_finishing_ends_every_visit_of_that_person(gate: Gate) -> None:
    member, other = gate.member(), gate.member("juma")
    with gate.sessions.begin() as session:
        mine = open_visit(session, gate.row(member.id), now=gate.now)
        theirs = open_visit(session, gate.row(other.id), now=gate.now)

    gate.finished(gate.link(member.id), None)

    with gate.sessions.read() as session:
        assert visit_of(session, mine, now=gate.now) is None
        assert visit_of(session, theirs, now=gate.now) is not None


def test_an_unknown_link_finishes_nothing(gate: Gate) -> None:
    chosen = Chosen(password_hash="x", totp=None)  # noqa: S106 -- no password, and never kept

    with gate.sessions.begin() as session:
        assert finish_link(session, "nothing", chosen, now=gate.now) is None
        assert spend_link(session, "nothing", now=gate.now) is None


def test_an_app_is_proved_by_a_code_of_its_own(gate: Gate) -> None:
    vault, secret = gate.entrance.vault, new_totp_secret()

    proved = prove_totp(vault, secret, gate.code(secret), now=gate.now)

    assert proved is not None
    assert vault.open("totp", proved.sealed) == secret
    assert prove_totp(vault, new_totp_secret(), "12345", now=gate.now) is None
