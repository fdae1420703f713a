"""Each installed gateway in turn, for the contract suite, and the fake on its folder.

The others have their fixtures, each called `<name>_line`, in files of their own.
"""

from pathlib import Path

import pytest

from gateway_adapters import registry
from gateway_adapters.contract import Gateway
from gateway_adapters.fake import FakeGateway
from tests.gateways.line import Line
from tests.outgoing import StoppedClock


@pytest.fixture(params=registry.names())
def line(request: pytest.FixtureRequest) -> Line:
    """Return each installed gateway in turn; one without a fixture of its own fails."""
    opened = request.getfixturevalue(f"{request.param}_line")
    assert isinstance(opened, Line)
    return opened


@pytest.fixture
def fake_line(tmp_path: Path) -> Line:
    """Return the fake on a folder."""

    def restart() -> Gateway:
        return registry.open_gateway("fake", {"folder": str(tmp_path)}, StoppedClock())

    phones = FakeGateway(clock=StoppedClock(), folder=tmp_path)
    return Line(
        gateway=restart(),
        arrived=lambda: [(text.to, text.text) for text in phones.texts()],
        say=phones.answer,
        restart=restart,
    )
