"""The modem's settings: all faults at once, in plain sentences."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from gateway_adapters import registry
from gateway_adapters.contract import Encoding
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.serial_modem.opening import open_serial_modem
from gateway_adapters.serial_modem.settings import read_settings
from tests.outgoing import StoppedClock

PORT = "/dev/serial/by-id/usb-modem-if00"
OTHER_NUMBER = "+255100000002"
ALL_KEYS = (
    "answer_s, baud, command_s, daily_segments, first_wait_s, folder, late_s, longest_wait_s, "
    "own_number, pin, pin_file, poll_s, port, prompt_s, rate_per_s, retry_s"
)
WHY_A_FOLDER = "where it is remembered if the SIM refuses it: three wrong tries lock a SIM"


def test_a_port_is_enough() -> None:
    """The times are those of the reference for modems; rate and daily amount are from memory."""
    read = read_settings({"port": PORT})

    assert (read.port, read.pin, read.folder, read.own_number) == (PORT, None, None, "")
    assert (read.prompt_s, read.answer_s, read.late_s, read.poll_s) == (5, 60, 120, 60)
    assert (read.first_wait_s, read.longest_wait_s) == (1, 60)
    assert (read.baud, read.daily_segments, read.rate_per_s) == (115_200, 200, 0.15)


def test_everything_can_be_set(tmp_path: Path) -> None:
    (tmp_path / "pin").write_text("1234\n")
    read = read_settings(
        {
            "port": Path(PORT),
            "pin_file": str(tmp_path / "pin"),
            "folder": str(tmp_path),
            "own_number": OTHER_NUMBER,
            "daily_segments": 500,
            "rate_per_s": 0.1,
            "answer_s": 30,
        }
    )

    assert (read.port, read.pin, read.folder) == (PORT, "1234", tmp_path)
    assert (read.own_number, read.daily_segments, read.answer_s) == (OTHER_NUMBER, 500, 30.0)


def test_a_pin_and_a_number_are_not_shown(tmp_path: Path) -> None:
    settings = {"port": PORT, "pin": "1357", "folder": str(tmp_path), "own_number": OTHER_NUMBER}

    shown = repr((read_settings(settings), open_serial_modem(settings, StoppedClock())))

    assert "1357" not in shown
    assert OTHER_NUMBER not in shown


def test_all_faults_are_named_at_once() -> None:
    with pytest.raises(GatewayConfigError) as refused:
        read_settings(
            {
                "speed": 9600,
                "pin": "12",
                "own_number": "0100",
                "baud": 0,
                "rate_per_s": 0,
                "answer_s": "soon",
                "daily_segments": True,
                "folder": 7,
            }
        )

    assert str(refused.value).removesuffix(".").split(". ") == [
        f"'speed' is no setting of the serial modem; it has {ALL_KEYS}",
        "'folder' must be a text",
        "'answer_s' must be a number over 0, and 3600 at most",
        "'baud' must be a whole number over 0",
        "'daily_segments' must be a whole number over 0",
        "'port' must name the modem's device, such as one in /dev/serial/by-id",
        "The PIN must be 4 to 8 digits",
        f"A PIN needs 'folder', {WHY_A_FOLDER}",
        "'own_number' must be a number such as '+255100000001'",
        "'rate_per_s' must be a number over 0, and 3600 at most",
    ]


@pytest.mark.parametrize("port", ["/dev/ttyUSB0", "/dev/ttyACM12"])
def test_a_name_that_changes_when_the_modem_is_plugged_in_anew_is_refused(port: str) -> None:
    with pytest.raises(GatewayConfigError, match="/dev/serial/by-id"):
        read_settings({"port": port})


def test_a_pin_is_given_in_one_way_only(tmp_path: Path) -> None:
    (tmp_path / "pin").write_text("1234")
    settings = {"port": PORT, "pin": "1234", "folder": str(tmp_path)}

    with pytest.raises(GatewayConfigError, match="not both"):
        read_settings({**settings, "pin_file": str(tmp_path / "pin")})


@pytest.mark.parametrize("octets", [None, b"", b"\xff\xff", b"12 34"])
def test_a_file_without_a_pin_is_refused_and_its_content_not_shown(
    tmp_path: Path, octets: bytes | None
) -> None:
    file = tmp_path / "pin"
    if octets is not None:
        file.write_bytes(octets)

    with pytest.raises(GatewayConfigError) as refused:
        read_settings({"port": PORT, "pin_file": str(file), "folder": str(tmp_path)})

    assert "12 34" not in str(refused.value)


def test_the_installed_gateway_is_built_without_a_modem_and_reaches_phones() -> None:
    settings = {"port": "/nowhere/modem"}
    gateway = registry.open_gateway("serial_modem", settings, StoppedClock())

    assert registry.reaches_phones("serial_modem", settings)
    assert gateway.capabilities.encodings == frozenset(Encoding)
    assert (gateway.capabilities.window, gateway.capabilities.rate_per_s) == (1, 0.15)
    gateway.close(drain_s=0)


def test_a_modem_that_is_not_there_is_told_by_check_and_not_by_construction() -> None:
    gateway = open_serial_modem({"port": "/nowhere/modem"}, StoppedClock())

    health = gateway.check(deadline=datetime(2027, 3, 15, 15, 0, 30, tzinfo=UTC))

    gateway.close(drain_s=0)
    assert health.reason == ("The modem is not plugged in, or its name in the settings is wrong.")
