"""A form counts once for each association, and is found by its key there only."""

import pytest
from sqlalchemy.exc import NoResultFound

from service.records.form_posts import first_post, post_of, set_location
from service.records.staff import Role, StaffRow
from tests.unit.records.full import FULL_NOW, full_association
from tests.world import World

KEY = "a-key-of-a-form-0001"


@pytest.fixture
def staffed(world: World) -> World:
    """Two associations with a member of staff each, numbered like them."""
    full_association(world)
    with world.services.sessions.begin() as session:
        session.add_all(
            StaffRow(
                id=number,
                association_id=number,
                name=f"staff{number}",
                shown="Test",
                role=Role.COORDINATOR,
                language="en",
                password_hash=None,
                totp_sealed=None,
                totp_step=None,
                recorded_at=FULL_NOW,
                removed_at=None,
            )
            for number in (1, 2)
        )
    return world


def test_a_key_is_first_once_in_each_association(staffed: World) -> None:
    with staffed.services.sessions.begin() as session:
        firsts = [
            first_post(session, tenant, KEY, staff_id=tenant, now=FULL_NOW)
            for tenant in (1, 1, 2, 2)
        ]

    assert firsts == [True, False, True, False]


def test_where_a_form_led_is_kept_for_its_own_association(staffed: World) -> None:
    with staffed.services.sessions.begin() as session:
        for tenant in (1, 2):
            first_post(session, tenant, KEY, staff_id=tenant, now=FULL_NOW)
        set_location(session, 1, KEY, location="/households/1")

    with staffed.services.sessions.read() as session:
        assert post_of(session, 1, KEY).location == "/households/1"
        assert post_of(session, 2, KEY).location == ""
        with pytest.raises(NoResultFound):
            post_of(session, 1, "another-key-of-a-form")
