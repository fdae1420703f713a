"""The one table of settings: what is read, what is refused, and what no `repr` shows."""

import os
import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest

from gateway_adapters import registry
from gateway_adapters.contract import Encoding, HealthState
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.http_form.opening import REACHES_PHONES, open_http_form
from gateway_adapters.http_form.settings import read_settings
from tests.outgoing import StoppedClock

LEAST: Mapping[str, object] = {
    "address": "https://sms.example/v1/messages",
    "hosts": ["sms.example:443"],
    "body": {"to": "$to", "text": "$text"},
    "id": {"pointer": "/id"},
}
WHOLE = """
method = "POST"
address = "https://sms.example:8443/v1/messages"
hosts = ["sms.example:8443"]
body_format = "json"
numbers = "digits"
valid_until = "minutes-left"
idempotency_header = "Idempotency-Key"
idempotent_submit = true
connect_s = 5
read_s = 10.5
total_s = 25
window = 8
rate_per_s = 20
encodings = ["gsm7"]
max_segments = 3

[headers]
Authorization = { before = "Bearer ", file = "FOLDER/key" }
X-Account = "growers"

[body]
to = "$to"
from = "$from"
message = { text = "$text", minutes = "$valid_until", reference = "$token" }

[success]
statuses = [200, 201]
pointer = "/status"
equals = "ok"

[id]
pointer = "/data/0/id"

[errors]
pointer = "/error/code"
unlisted = { kind = "permanent", scope = "route" }
codes.1007 = { kind = "permanent" }
codes.busy = { kind = "throttled", scope = "route" }

[webhooks]
signing_key_file = "FOLDER/key"
old_signing_key = "the one from before, invented"
sources = ["192.0.2.0/24"]

[webhooks.receipts]
path = "/receipts"
event_id = "/event"
id = "/id"
state = "/state"
token = "/reference"
states = { done = "delivered", failed = "failed", late = "expired" }

[webhooks.texts]
path = "/texts"
from = "/from"
text = "/text"

[webhooks.ussd]
path = "/menu"
session = "/session"
phone = "/phone"
text = "/input"
answer_format = "json"
answer = { text = "$text", more = "$mark" }
continue_mark = true
end_mark = false
"""


def _faults(settings: Mapping[str, object]) -> str:
    with pytest.raises(GatewayConfigError) as refused:
        read_settings(settings)
    return str(refused.value)


def _whole(folder: Path) -> dict[str, object]:
    (folder / "key").write_text("invented secret of a file\n\nmore\n", encoding="utf-8")
    return tomllib.loads(WHOLE.replace("FOLDER", str(folder)))


def test_the_least_that_is_needed_is_enough() -> None:
    gateway = open_http_form(LEAST, StoppedClock())
    able = gateway.capabilities

    assert (able.receipts, able.inbound_text, able.ussd) == (False, False, False)
    assert (able.query, able.cancel, able.idempotent_submit) == (False, False, False)
    assert able.encodings == frozenset(Encoding)
    assert gateway.health().state is HealthState.UP
    gateway.close(drain_s=0)


def test_all_settings_together_are_read(tmp_path: Path) -> None:
    gateway = open_http_form(_whole(tmp_path), StoppedClock())
    able = gateway.capabilities

    assert (able.receipts, able.inbound_text, able.ussd) == (True, True, True)
    assert (able.idempotent_submit, able.window, able.rate_per_s) == (True, 8, 20)
    assert (able.encodings, able.max_segments) == (frozenset({Encoding.GSM7}), 3)
    gateway.close(drain_s=0)


def test_secrets_are_read_from_files_and_shown_nowhere(tmp_path: Path) -> None:
    settings = read_settings(_whole(tmp_path))
    assert settings.webhooks is not None
    assert settings.webhooks.door.signature is not None

    assert settings.sending.headers[0] == ("Authorization", "Bearer invented secret of a file")
    assert settings.webhooks.door.signature.keys == (
        b"invented secret of a file",
        b"the one from before, invented",
    )
    assert "invented" not in repr(settings)


def test_every_fault_is_told_at_once() -> None:
    told = _faults(
        {
            "address": "http://sms.example/",
            "hosts": "sms.example:443",
            "method": "DELETE",
            "window": 0,
            "read_s": True,
            "body": {"to": "$to"},
            "id": {},
            "idempotent_submit": True,
            "colour": "green",
            "webhooks": {"receipts": {"states": {"done": "arrived"}}, "shape": "round"},
        }
    )

    for words in (
        "'address' names a host and port that 'hosts' does not list",
        "'hosts' must be a list of texts.",
        "'method' must be one of: POST, PUT, GET.",
        "'window' must be a whole number from 1 to 100.",
        "'read_s' must be a number from 0.05 to 30.",
        "'body' lacks $text.",
        "'id.pointer' or 'header' must say where the id is",
        "'idempotent_submit' needs 'idempotency_header'",
        "'colour' is no setting of this gateway.",
        "'webhooks.signing_key' or 'secret' must be set",
        "'webhooks.receipts.id' is missing; it is a pointer such as /id.",
        "'webhooks.receipts.states.done' must be one of: submitted, delivered",
        "'webhooks.shape' is no setting of this gateway.",
    ):
        assert words in told


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"address": "https://10.0.0.1/", "hosts": ["10.0.0.1:443"]}, "may not be called"),
        ({"address": "http://99.99.99.99/", "hosts": ["99.99.99.99:80"]}, "Without TLS"),
        ({"total_s": 31}, "'total_s' must be a number from 0.05 to 30."),
        ({"headers": {"Host": "x"}}, "'headers.Host' is not for you to set."),
        ({"headers": {"X-A": "a\r\nb: c"}}, "'headers.X-A' must be one line of ASCII."),
        ({"headers": {"X-A": {"file": "/nowhere/at/all"}}}, "names a file that cannot be read."),
        ({"headers": {"X A": "a"}}, "'headers.X A' is not for you to set."),
        ({"headers": {"X-A": 5}}, "must be a text, or a table with 'file'"),
        ({"body": {"to": "$to", "text": "$txt"}}, "'body' has unknown fields: txt."),
        ({"body_format": "form", "body": {"to": "$to", "text": ["$text"]}}, "table of texts"),
        ({"method": "GET"}, "can be GET only with body_format"),
        ({"body_format": "form", "batch": {"size": 2}}, "'batch.size' must be 1 for a form"),
        ({"batch": {"size": 2}, "idempotency_header": "k", "idempotent_submit": True}, "batches"),
        ({"id": {"pointer": "id"}}, "'id.pointer' is no pointer: A pointer begins with a slash"),
        ({"id": {"pointer": "/id", "header": "x"}}, "one of the two"),
        ({"success": {"pointer": "/ok"}}, "'success.equals' and 'pointer' go together."),
        ({"success": {"statuses": [302]}}, "must be a list of statuses from 200 to 299."),
        ({"errors": {"codes": {"1": {"kind": "permanent"}}}}, "'errors.pointer' is missing"),
        ({"errors": {"pointer": "/e", "codes": {"1": {"kind": "bad"}}}}, "'kind' permanent"),
        ({"errors": {"pointer": "/e", "codes": {"1": "permanent"}}}, "'kind' permanent"),
        ({"encodings": ["latin1"]}, "must be a list of gsm7 and ucs2"),
        ({"ca_file": "/nowhere/at/all"}, "'ca_file' names no file."),
        ({"webhooks": {"secret": "short"}}, "must be 16 characters long or more."),
        ({"webhooks": {"secret": "x" * 16, "secret_file": "y"}}, "are both given; keep one."),
        ({"webhooks": {"secret": "x" * 16, "sources": ["x"]}}, "addresses or networks"),
        ({"webhooks": 5}, "'webhooks' must be a table."),
        ({"address": 5}, "'address' must be a text that is not empty."),
        ({"address": ""}, "'address' must be a text that is not empty."),
        ({"allow_private": "yes"}, "'allow_private' must be true or false."),
        ({"id": {"pointer": 5}}, "'id.pointer' must be a pointer such as /id."),
        ({"headers": {"X-A": {"file": 5}}}, "'headers.X-A' must be the path of a file."),
        ({"headers": {"X-A": {"file": os.devnull}}}, "'headers.X-A' names an empty file."),
        ({"idempotency_header": "Host"}, "is no name of a header that you may set."),
        ({"body": {}}, "'body' lacks $text and $to."),
        ({"webhooks": {"texts": {"when": {"at": "/a"}}}}, "'webhooks.texts.when.equals' must be"),
    ],
)
def test_a_setting_with_a_fault_is_refused_in_a_plain_sentence(
    changes: dict[str, object], words: str
) -> None:
    assert words in _faults({**LEAST, **changes})


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"answer": {"t": "$text"}}, "must hold $text and $mark"),
        ({"answer": {"t": "$text", "m": "$mark", "x": "$phone"}}, "has unknown fields: phone."),
        ({"answer_format": "text"}, "must be a text such as"),
        ({"end_mark": "continue"}, "must differ from 'continue_mark'."),
        ({"end_mark": 1.5}, "must be a text, a whole number, or true or false."),
        ({"step": "/k"}, "'webhooks.ussd.begin' and 'input' must say"),
        ({"end": {"3": "tired"}}, "must be one of: user, timeout"),
        ({"begin": ["1"]}, "'webhooks.ussd.step' is missing"),
        ({"each": "/all"}, "'webhooks.ussd.each' is no setting of this gateway."),
        ({}, "'webhooks.ussd.event_id' is missing; without it or a signature"),
    ],
)
def test_a_fault_of_the_menu_is_refused(changes: dict[str, object], words: str) -> None:
    menu = {"session": "/s", "phone": "/p", "text": "/t", "answer": {"t": "$text", "m": "$mark"}}
    webhooks = {"secret": "x" * 16, "ussd": menu | changes}

    assert words in _faults({**LEAST, "webhooks": webhooks})


def test_a_file_without_certificates_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "empty.pem"
    file.write_text("nothing", encoding="utf-8")

    with pytest.raises(GatewayConfigError, match="holds no certificates"):
        open_http_form({**LEAST, "ca_file": str(file)}, StoppedClock())


@pytest.mark.parametrize(
    ("settings", "reaches"),
    [(LEAST, True), ({}, True), ({"address": "http://127.0.0.1:8080/"}, False)],
)
def test_only_a_loopback_address_may_be_given_test_numbers(
    settings: Mapping[str, object],
    reaches: bool,  # noqa: FBT001 -- a column
) -> None:
    assert REACHES_PHONES(settings) is reaches
    assert registry.reaches_phones("http_form", settings) is reaches
