"""The settings of an SMPP route: all faults at once, no secret in a sentence."""

from pathlib import Path

import pytest

from gateway_adapters import registry
from gateway_adapters.contract import RejectKind, Scope
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.smpp.settings import Mode, reaches_phones, read_settings
from tests.outgoing import StoppedClock

NEEDED = {"host": "centre.example", "port": 2775, "system_id": "grower"}


def test_three_settings_are_enough() -> None:
    read = read_settings(NEEDED)

    assert (read.place.host, read.place.port, read.system_id) == ("centre.example", 2775, "grower")
    assert (read.mode, read.window, read.password) == (Mode.TRANSCEIVER, 10, "")
    assert (read.timing.answer_s, read.timing.enquire_s, read.timing.refused_s) == (30, 30, 300)


def test_all_faults_are_told_at_once() -> None:
    wrong = {
        "port": 0,
        "system_id": "a name that is far too long",
        "password": "overlong9",
        "window": True,
        "rate_per_s": "fast",
        "long": "short",
        "tls": "yes",
        "source_ton": 300,
        "country_code": "x",
        "statuses": {"0x58": "angry"},
        "speed": 3,
    }
    with pytest.raises(GatewayConfigError) as refused:
        read_settings(wrong)

    sentence = str(refused.value)
    named = ("host", "port", "system_id", "password", "window", "rate_per_s", "long", "tls")
    for key in (*named, "source_ton", "country_code", "statuses", "speed"):
        assert f"'{key}'" in sentence
    assert "overlong9" not in sentence


@pytest.mark.parametrize(
    "wrong",
    [
        {"password": "a", "password_file": "b"},
        {"password_file": "/nowhere/at/all"},
        {"tls_name": "other.example"},
        {"tls": True, "tls_ca_file": "/nowhere/at/all"},
        {"statuses": ["0x58"]},
        {"system_type": "n\u00e9"},
        {"host": ""},
    ],
)
def test_each_wrong_setting_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(GatewayConfigError):
        read_settings(NEEDED | wrong)


def test_a_password_may_stand_in_a_file(tmp_path: Path) -> None:
    (tmp_path / "password").write_text("secret\n")

    read = read_settings({**NEEDED, "password_file": str(tmp_path / "password")})

    assert read.password == "secret"  # noqa: S105 -- invented
    assert "secret" not in repr(read)


def test_a_route_may_know_its_centres_own_statuses() -> None:
    verdict = read_settings({**NEEDED, "statuses": {"0x0401": "permanent-route"}}).statuses[0x401]

    assert (verdict.kind, verdict.scope) == (RejectKind.PERMANENT, Scope.ROUTE)


@pytest.mark.parametrize(
    ("host", "reaches"),
    [
        ("127.0.0.1", False), ("127.9.9.9", False), ("::1", False), ("localhost", False),
        ("192.0.2.1", True), ("centre.example", True), ("", True), (None, True),
    ],
)  # fmt: skip
def test_only_this_machine_reaches_no_phone(host: object, reaches: bool) -> None:  # noqa: FBT001 -- a row
    assert reaches_phones({"host": host}) is reaches
    assert registry.reaches_phones("smpp", {"host": host}) is reaches


def test_opening_connects_nothing_and_shows_no_secret() -> None:
    settings = {**NEEDED, "password": "secret"}
    gateway = registry.open_gateway("smpp", settings, StoppedClock())

    assert "secret" not in repr(gateway)
    assert gateway.capabilities.window == 10
    gateway.close(drain_s=0)
