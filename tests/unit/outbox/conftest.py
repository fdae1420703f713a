"""A database with two associations."""

import pytest

from service.records.engine import Sessions
from tests.unit.outbox.queue import two_tenants


@pytest.fixture
def outbox(sessions: Sessions) -> Sessions:
    """Two associations with empty queues."""
    two_tenants(sessions)
    return sessions
