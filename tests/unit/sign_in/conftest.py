"""A gate with one association behind it, and hashing cheap enough for tests."""

import pytest

from service.records.engine import Sessions
from service.sign_in.entry import Entrance
from service.sign_in.passwords import Passwords
from service.sign_in.secrets import Vault
from tests.unit.sign_in.gate import KEY, CountingHasher, Gate
from tests.world_facts import other_association


@pytest.fixture
def hasher() -> CountingHasher:
    """An argon2id of almost no work, which counts its checks."""
    return CountingHasher()


@pytest.fixture
def gate(sessions: Sessions, hasher: CountingHasher) -> Gate:
    """Two associations without staff, and what signing in works with."""
    entrance = Entrance(
        sessions=sessions,
        vault=Vault(KEY),
        passwords=Passwords(hasher, longest_wait_s=0.01),
    )
    made = Gate(entrance=entrance)
    with sessions.begin() as session:
        session.add(other_association(made.now))
        first = other_association(made.now)
        first.id, first.code = 1, "test"
        session.add(first)
    return made
