"""The example's far end, for the contract suite."""

import json
from itertools import count
from pathlib import Path

import pytest

from gateway_adapters import registry
from gateway_adapters.contract import Gateway
from tests.gateways.line import Line
from tests.outgoing import StoppedClock


@pytest.fixture
def spool_line(tmp_path: Path) -> Line:
    """Return the example on a folder, opened by its name as any installed gateway."""
    numbers = count(1)

    def restart() -> Gateway:
        return registry.open_gateway("spool", {"folder": str(tmp_path)}, StoppedClock())

    def say(sender: str, text: str) -> None:
        said = {"from": sender, "to": "15050", "text": text}
        name = f"t-{next(numbers):04}.json"
        (tmp_path / "in" / name).write_text(json.dumps(said), encoding="utf-8")

    def arrived() -> list[tuple[str, str]]:
        files = sorted((tmp_path / "out").glob("*.json"))
        texts = [json.loads(file.read_text(encoding="utf-8")) for file in files]
        return [(text["to"], text["text"]) for text in texts]

    return Line(gateway=restart(), arrived=arrived, say=say, restart=restart)
