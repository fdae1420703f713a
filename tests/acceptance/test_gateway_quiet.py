"""What a gateway gives away: nothing in logs or of itself, and no call at its import."""

import json
import logging
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from gateway_adapters.contract import WebhookRequest
from service.messages.lifecycle import State
from tests.gateways.far_ends import HTTP, IMPATIENT, MAKES, MODEM, SMPP
from tests.gateways.far_world import far_world
from tests.gateways.http_form_line import API_KEY, SECRET, settings_for
from tests.gateways.smpp_line import smpp_settings
from tests.world import PHONE

ROOT = Path(__file__).parents[2]
FAULTS: Mapping[str, Mapping[str, object]] = {
    SMPP: {"dropNext": 1},
    MODEM: {"silent_next": 1},
    HTTP: {"dropNext": 1},
}
SIGN_IN = ("secret", "grower", API_KEY, SECRET)
WITHOUT_NETWORK = """
import json, pkgutil, sys
import importlib

def refuse(event, args):
    # a pair of sockets within this process is no network
    if event in ("socket.connect", "socket.getaddrinfo", "socket.bind", "socket.sendto"):
        raise PermissionError(event)

sys.addaudithook(refuse)
import gateway_adapters
from gateway_adapters import registry
for found in pkgutil.walk_packages(gateway_adapters.__path__, "gateway_adapters."):
    importlib.import_module(found.name)
from tests.outgoing import StoppedClock
for name, settings in json.loads(sys.argv[1]).items():
    gateway = registry.open_gateway(name, settings, StoppedClock())
    gateway.capabilities, gateway.health()
    gateway.close(drain_s=0)
    print(name)
"""


@pytest.mark.parametrize("make", MAKES)
def test_no_log_and_no_gateway_tells_a_number_a_text_or_a_secret(
    tmp_path: Path, make: str, caplog: pytest.LogCaptureFixture
) -> None:
    """C17: at the lowest level, through a doubt, a success, a text from a phone, a forged post."""
    caplog.set_level(logging.DEBUG)
    with far_world(tmp_path, make, FAULTS[make], **IMPATIENT[make]) as far:
        far.send("Siri kubwa")
        far.send("Siri ndogo")
        far.say("Siri yangu")
        far.hear(lambda: far.states()[1] in (State.SUBMITTED, State.DELIVERED))
        forged = far.gateway.parse_webhook(
            WebhookRequest(method="POST", path="/", headers={"X-Signature": "0"}, body=b"Siri")
        )
        itself = (far.gateway, far.gateway.health(), far.gateway.capabilities, forged)
        shown = f"{caplog.text} {itself!r}"

        assert len(far.arrived()) >= 1
        for private in (PHONE, PHONE[1:], "Siri", *SIGN_IN):
            assert private not in shown


def test_nothing_is_called_while_a_gateway_is_imported_and_opened() -> None:
    """C20: with every call of the network refused, each can be imported, opened and closed."""
    settings = {
        "fake": {},
        HTTP: settings_for(9),
        MODEM: {"port": "/nowhere/modem"},
        SMPP: smpp_settings(9),
    }
    told = subprocess.run(  # noqa: S603 -- our own words
        [sys.executable, "-c", WITHOUT_NETWORK, json.dumps(settings)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert told.stdout.split() == [*settings], told.stderr
    assert "Traceback" not in told.stderr
