"""A part of pytest, in the copy alone: nothing but the copy's own code may be tested there.

Hypothesis stops at the first failing example, since nobody reads a mutant's smallest one.
"""

import os
import resource
import sys
from pathlib import Path

import pytest
from hypothesis import Phase, settings

COPY = "MUTANT_COPY"
STRANGER = 97  # no exit status of pytest's own
_OURS = ("service", "gateway_adapters", "tests")
_MOST_BYTES = 4 * 1024**3  # an endless list must not take the machine with it


@pytest.hookimpl(trylast=True)
def pytest_configure() -> None:
    """Keep one mutant from costing more than its share."""
    resource.setrlimit(resource.RLIMIT_AS, (_MOST_BYTES, _MOST_BYTES))
    settings.register_profile(
        "mutant", settings.get_profile("ci"), phases=(Phase.explicit, Phase.generate)
    )
    settings.load_profile("mutant")


def strangers(copy: Path) -> list[str]:
    """Return the modules of the project that were not imported from the copy."""
    places = {
        name: Path(place)
        for name, module in tuple(sys.modules.items())
        if name.split(".")[0] in _OURS and (place := getattr(module, "__file__", None))
    }
    return [name for name, place in places.items() if not place.is_relative_to(copy)]


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Give the run a status of its own if a module came from elsewhere."""
    found = strangers(Path(os.environ[COPY]))
    if found:
        sys.stdout.write(f"not of the copy: {', '.join(found)}\n")
        session.exitstatus = STRANGER
