"""Gateways are found by their entry points; packages on disk stand for strangers'."""

from collections.abc import Callable
from pathlib import Path

import pytest

from gateway_adapters import registry
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.fake import FakeGateway
from tests.outgoing import StoppedClock

Install = Callable[[str, str, str], None]


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Install:
    """Install a package with one module of its own and one gateway."""

    def put(package: str, gateway: str, module_text: str) -> None:
        site = tmp_path / package
        information = site / f"{package}-1.0.dist-info"
        information.mkdir(parents=True)
        (information / "METADATA").write_text(f"Name: {package}\nVersion: 1.0\n")
        (information / "entry_points.txt").write_text(
            f"[gateway_adapters]\n{gateway} = {package}_wire:open_wire\n"
        )
        (site / f"{package}_wire.py").write_text(module_text)
        monkeypatch.syspath_prepend(str(site))

    return put


WORKING = """
from gateway_adapters.fake import FakeGateway
def open_wire(settings, clock):
    return FakeGateway(clock=clock)
"""


def test_the_fake_is_installed_and_reaches_no_phone() -> None:
    assert "fake" in registry.names()
    assert not registry.reaches_phones("fake", {})


def test_the_named_gateway_is_opened_with_its_settings(tmp_path: Path) -> None:
    gateway = registry.open_gateway("fake", {"folder": str(tmp_path / "net")}, StoppedClock())

    assert isinstance(gateway, FakeGateway)
    assert (tmp_path / "net").is_dir()


def test_wrong_settings_are_refused_by_the_gateway() -> None:
    with pytest.raises(GatewayConfigError, match="'speed' is no setting"):
        registry.open_gateway("fake", {"speed": 3}, StoppedClock())


def test_an_unknown_name_is_answered_with_the_known_ones() -> None:
    with pytest.raises(GatewayConfigError, match=r"no gateway called 'pigeon'.*fake"):
        registry.open_gateway("pigeon", {}, StoppedClock())


def test_a_stranger_s_gateway_reaches_phones_unless_it_says_otherwise(install: Install) -> None:
    install("alpha", "wire", WORKING)

    assert "wire" in registry.names()
    assert registry.reaches_phones("wire", {})
    assert isinstance(registry.open_gateway("wire", {}, StoppedClock()), FakeGateway)


def test_a_stranger_s_gateway_may_say_that_it_reaches_no_phone(install: Install) -> None:
    install("beta", "dry_wire", "REACHES_PHONES = False\n" + WORKING)

    assert not registry.reaches_phones("dry_wire", {})


def test_two_packages_with_one_name_are_both_named(install: Install) -> None:
    install("gamma", "fake", WORKING)

    with pytest.raises(GatewayConfigError, match=r"gamma.*furrowbell|furrowbell.*gamma"):
        registry.names()


@pytest.mark.parametrize(
    ("package", "module_text", "fault"),
    [
        pytest.param("delta", "1 / 0\n", "cannot be loaded", id="fails at import"),
        pytest.param("epsilon", "", "cannot be loaded", id="lacks the factory"),
        pytest.param("zeta", "open_wire = 7\n", "is not a factory", id="is no factory"),
    ],
)
def test_a_broken_package_is_named(
    install: Install, package: str, module_text: str, fault: str
) -> None:
    install(package, "broken", module_text)

    with pytest.raises(GatewayConfigError, match=f"package {package} {fault}"):
        registry.open_gateway("broken", {}, StoppedClock())
