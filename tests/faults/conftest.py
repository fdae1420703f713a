"""How long the faults go on: a few in every run, many with `--faults full`."""

import pytest

SHORT = {"kills": 40, "freezes": 5}
FULL = {"kills": 500, "freezes": 30}


def _many(request: pytest.FixtureRequest, name: str) -> int:
    return (FULL if request.config.getoption("--faults") == "full" else SHORT)[name]


@pytest.fixture
def kills(request: pytest.FixtureRequest) -> int:
    """Return how often a worker is killed."""
    return _many(request, "kills")


@pytest.fixture
def freezes(request: pytest.FixtureRequest) -> int:
    """Return how often a worker is frozen."""
    return _many(request, "freezes")
