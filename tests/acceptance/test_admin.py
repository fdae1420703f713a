"""What an administrator can rely on: the demo reaches no phone."""

from collections.abc import Callable
from pathlib import Path

import pytest
from click import Command
from click.testing import CliRunner

from service.cli.clockwork import tick_command
from service.cli.processes import serve_command
from service.cli.store import migrate_command

Install = Callable[[str], None]

AT = ["--at", "2027-03-27T18:00+03:00"]

SETTINGS = """\
profile = "{profile}"
test_numbers = ["+255100000001"]
allowed_countries = ["TZ"]

[route]
adapter = "{adapter}"
sender = "+255100000099"
"""
REAL = """\
from gateway_adapters.fake import FakeGateway

def open_wire(settings, clock):
    {mark}
    return FakeGateway(clock=clock)
"""


@pytest.fixture
def opened(tmp_path: Path) -> Path:
    """The file that a gateway to real phones writes when it is opened."""
    return tmp_path / "opened"


@pytest.fixture
def install(tmp_path: Path, opened: Path, monkeypatch: pytest.MonkeyPatch) -> Install:
    """Install a package whose gateway does not deny that it reaches real phones."""

    def put(name: str) -> None:
        site = tmp_path / "site"
        information = site / "realwire-1.0.dist-info"
        information.mkdir(parents=True)
        (information / "METADATA").write_text("Name: realwire\nVersion: 1.0\n")
        (information / "entry_points.txt").write_text(
            f"[gateway_adapters]\n{name} = realwire_{name}:open_wire\n"
        )
        mark = f"open({str(opened)!r}, 'w').close()"
        (site / f"realwire_{name}.py").write_text(REAL.format(mark=mark))
        monkeypatch.syspath_prepend(str(site))

    return put


def environment(tmp_path: Path, *, profile: str, adapter: str) -> dict[str, str]:
    settings = tmp_path / f"{profile}.toml"
    settings.write_text(SETTINGS.format(profile=profile, adapter=adapter), encoding="utf-8")
    return {
        "FURROWBELL_SETTINGS": str(settings),
        "FURROWBELL_DATABASE_URL": f"sqlite:///{tmp_path / 'furrowbell.db'}",
    }


@pytest.mark.parametrize(
    ("command", "arguments"), [(serve_command, []), (tick_command, AT)], ids=["serve", "tick"]
)
def test_the_demo_does_not_start_with_a_gateway_to_real_phones(
    tmp_path: Path, install: Install, opened: Path, command: Command, arguments: list[str]
) -> None:
    """D9: demo profile with a real route in settings -> start refused, nothing opened."""
    install("wire")
    runner = CliRunner(env=environment(tmp_path, profile="demo", adapter="wire"))

    refused = runner.invoke(command, arguments)

    assert refused.exit_code == 2
    assert "The demo may only use a gateway that reaches no real phone" in refused.stderr
    assert "to the adapter fake" in refused.stderr
    assert not opened.exists()


def test_the_same_gateway_opens_in_life_and_the_demo_runs_with_the_fake(
    tmp_path: Path, install: Install, opened: Path
) -> None:
    """D9: it is the profile together with the real route that is refused, neither alone."""
    install("wire2")
    live = CliRunner(env=environment(tmp_path, profile="live", adapter="wire2"))
    demo = CliRunner(env=environment(tmp_path, profile="demo", adapter="fake"))

    migrated = live.invoke(migrate_command)
    in_life = live.invoke(tick_command, AT)
    was_opened = opened.exists()
    in_demo = demo.invoke(tick_command, AT)

    assert (migrated.exit_code, in_life.exit_code, in_demo.exit_code) == (0, 0, 0)
    assert was_opened
