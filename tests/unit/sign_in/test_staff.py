"""Staff are added under a name of their own, and removed with all that let them in."""

import pytest

from service.errors import RefusedError
from service.records.people import AuditRow
from service.records.staff import Role
from service.records.staff_queries import codes_left, present_staff
from service.sign_in.entry import SignInRefusedError
from service.sign_in.links import LinkOverError, take_link
from service.sign_in.staff import NewStaff, add_staff, folded_name, remove_staff
from service.sign_in.visits import open_visit, visit_of
from tests.unit.sign_in.gate import BY, Gate


def refused(gate: Gate, **changes: str) -> RefusedError:
    given = {"name": "asha.m", "shown": "Asha", "language": "en"} | changes
    new = NewStaff(role=Role.ADMIN, **given)
    with pytest.raises(RefusedError) as caught, gate.sessions.begin() as session:
        add_staff(session, 1, new, by=BY, now=gate.now)
    return caught.value


def remove(gate: Gate, staff_id: int, *, tenant: int = 1) -> None:
    with gate.sessions.begin() as session:
        remove_staff(session, tenant, staff_id, by=BY, now=gate.now)


def test_a_person_is_kept_as_given_with_the_name_folded(gate: Gate) -> None:
    with gate.sessions.begin() as session:
        new = NewStaff(name=" Asha.M ", shown=" Asha  M. ", role=Role.ADMIN, language="sw-TZ")
        staff_id = add_staff(session, 1, new, by=BY, now=gate.now)

    row = gate.row(staff_id)
    assert (row.name, row.shown, row.role, row.language) == (
        "asha.m",
        "Asha M.",
        Role.ADMIN,
        "sw-TZ",
    )
    assert (row.password_hash, row.totp_sealed, row.removed_at) == (None, None, None)


@pytest.mark.parametrize("name", ["ab", "a" * 40, "asha.m-2_b", "7up", "Ωmega", "आशा", "ASHA"])
def test_a_name_of_letters_digits_and_three_signs_is_taken(gate: Gate, name: str) -> None:
    assert gate.row(gate.added(name)).name == folded_name(name)


@pytest.mark.parametrize(
    "name", ["", "a", "a" * 41, "asha m", "asha@m", ".asha", "-a", "as\0ha", "a\u202em", "a٣"]
)
def test_another_name_is_refused_with_what_to_do(gate: Gate, name: str) -> None:
    error = refused(gate, name=name)

    assert error.code == "name"
    assert "such as asha.m" in error.sentence


@pytest.mark.parametrize("name", ["asha.m", "ASHA.M", "\uff41\uff53\uff48\uff41.\uff4d"])
def test_a_name_is_given_once_in_all_associations(gate: Gate, name: str) -> None:
    gate.added("asha.m", tenant=2)

    error = refused(gate, name=name)

    assert (error.code, "taken" in error.sentence) == ("name", True)


@pytest.mark.parametrize("shown", ["", "   ", "x" * 61, "Asha\u202e", "Asha\0"])
def test_a_shown_name_has_letters_to_show(gate: Gate, shown: str) -> None:
    assert refused(gate, shown=shown).code == "shown"


def test_a_shown_name_may_hold_the_joiners_of_its_script(gate: Gate) -> None:
    with gate.sessions.begin() as session:
        new = NewStaff(name="asha", shown="श्री\u200dआशा", role=Role.COORDINATOR, language="en")
        staff_id = add_staff(session, 1, new, by=BY, now=gate.now)

    assert gate.row(staff_id).shown == "श्री\u200dआशा"


@pytest.mark.parametrize("language", ["", "english", "en_GB", "e"])
def test_a_language_is_a_code(gate: Gate, language: str) -> None:
    assert refused(gate, language=language).code == "language"


def test_who_is_removed_cannot_come_in_by_any_way(gate: Gate) -> None:
    member, admin = gate.member(), gate.added("admin", role=Role.ADMIN)
    with gate.sessions.begin() as session:
        token = open_visit(session, gate.row(member.id), now=gate.now)
    link = gate.link(member.id)

    remove(gate, member.id)

    with gate.sessions.read() as session:
        assert visit_of(session, token, now=gate.now) is None
        with pytest.raises(LinkOverError):
            take_link(session, link, now=gate.now)
        assert [row.id for row in present_staff(session, 1)] == [admin]
        assert codes_left(session, 1, member.id) == 0
    with pytest.raises(SignInRefusedError):
        gate.knock(member.name)
    with pytest.raises(RefusedError, match="was removed"):
        gate.link(member.id)
    row = gate.row(member.id)
    assert (row.password_hash, row.totp_sealed) == (None, None)


def test_removing_twice_changes_nothing_more(gate: Gate) -> None:
    member = gate.added()
    gate.added("admin", role=Role.ADMIN)
    remove(gate, member)
    first = gate.row(member).removed_at
    gate.wait(3600)

    remove(gate, member)

    assert gate.row(member).removed_at == first


def test_the_last_administrator_stays(gate: Gate) -> None:
    first, second = gate.added("first", role=Role.ADMIN), gate.added("second", role=Role.ADMIN)
    gate.added("elsewhere", tenant=2, role=Role.ADMIN)
    remove(gate, first)

    with pytest.raises(RefusedError, match="last administrator") as caught:
        remove(gate, second)

    assert caught.value.code == "last-admin"
    assert gate.row(second).removed_at is None


def test_what_is_done_to_the_staff_is_in_the_audit_without_names(gate: Gate) -> None:
    gate.added("admin", role=Role.ADMIN)
    staff_id = gate.added()
    gate.link(staff_id)
    remove(gate, staff_id)

    with gate.sessions.read() as session:
        rows = session.query(AuditRow).filter_by(subject_id=staff_id).order_by(AuditRow.id).all()
    assert [(row.what, row.subject, row.who, row.origin) for row in rows] == [
        ("added", "staff", "test", "test"),
        ("link", "staff", "test", "test"),
        ("removed", "staff", "test", "test"),
    ]
    assert {row.association_id for row in rows} == {1}
    assert not any("asha" in str(row.detail) for row in rows)
