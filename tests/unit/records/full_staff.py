"""An association with an administrator who has a link, a code and a visit."""

from service.records.staff import (
    Role,
    StaffCodeRow,
    StaffLinkRow,
    StaffRow,
    StaffSessionRow,
)
from tests.world import World

STAFF_ID = LINK_ID = SESSION_ID = 1
CODE_HASH = "hash of a code"


def full_staff(world: World) -> None:
    """Give association 1 a member of staff with all that belongs to one."""
    now = world.clock()
    mine = {"association_id": 1, "staff_id": STAFF_ID}
    with world.services.sessions.begin() as session:
        session.add(
            StaffRow(
                id=STAFF_ID,
                association_id=1,
                name="asha",
                shown="Asha",
                role=Role.ADMIN,
                language="en",
                totp_step=1,
                recorded_at=now,
            )
        )
        session.flush()
        session.add_all(
            [
                StaffLinkRow(
                    id=LINK_ID,
                    token_hash="hash of a link",  # noqa: S106 -- stands for a hash, opens nothing
                    expires_at=now.replace(year=now.year + 1),
                    recorded_at=now,
                    **mine,
                ),
                StaffCodeRow(code_hash=CODE_HASH, recorded_at=now, **mine),
                StaffSessionRow(
                    id=SESSION_ID,
                    token_hash="hash of a visit",  # noqa: S106 -- stands for a hash, opens nothing
                    opened_at=now,
                    seen_at=now,
                    **mine,
                ),
            ]
        )
