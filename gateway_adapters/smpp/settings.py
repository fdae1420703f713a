"""The settings of an SMPP route, checked before anything is opened."""

import ipaddress
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from gateway_adapters.contract import RejectKind, Scope
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.smpp.addresses import Plan
from gateway_adapters.smpp.alphabets import Alphabet
from gateway_adapters.smpp.codes import UNLISTED, Verdict
from gateway_adapters.smpp.ids import IdForm
from gateway_adapters.smpp.long_texts import Long
from gateway_adapters.smpp.setting_reader import SettingReader
from gateway_adapters.smpp.validity import ValidityForm

_LONGEST_SYSTEM_ID = 15  # SMPP 3.4, 5.2.1, without the NUL
_LONGEST_PASSWORD = 8  # SMPP 3.4, 5.2.2
_LONGEST_SYSTEM_TYPE = 12  # SMPP 3.4, 5.2.3
_LONGEST_SERVICE_TYPE = 5  # SMPP 3.4, 5.2.11
_OCTET = 255
_STATUS = re.compile(r"0[xX][0-9a-fA-F]{1,8}")
_CLASSES = {
    f"{kind.value}-{scope.value}": Verdict(kind=kind, scope=scope, detail=UNLISTED.detail)
    for kind in RejectKind
    for scope in Scope
}


class Mode(StrEnum):
    """One connection for both directions, or one for each."""

    TRANSCEIVER = "transceiver"
    TWO = "transmitter-receiver"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the gateway is; `tls_name` is checked against its certificate."""

    host: str
    port: int
    tls: bool = False
    tls_name: str = ""
    tls_ca_file: Path | None = None
    connect_timeout_s: float = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """How long to wait for what, in seconds.

    After `settled_s` on one connection the waits before the next start from the shortest again.
    """

    answer_s: float = 30.0
    enquire_s: float = 30.0
    late_s: float = 600.0
    delivery_s: float = 50.0
    reconnect_s: float = 1.0
    settled_s: float = 60.0
    refused_s: float = 300.0
    throttle_s: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SmppSettings:
    """Everything a route is told."""

    place: Place
    system_id: str
    password: str = field(repr=False)
    system_type: str = ""
    service_type: str = ""
    mode: Mode = Mode.TRANSCEIVER
    window: int = 10
    rate_per_s: float = 10.0
    alphabet: Alphabet = Alphabet.GSM7
    long: Long = Long.UDH
    validity: ValidityForm = ValidityForm.RELATIVE
    id_form: IdForm = IdForm.AUTO
    source: Plan = field(default_factory=Plan)
    destination: Plan = field(default_factory=Plan)
    country_code: str = ""
    query_sender: str = ""
    untyped_receipts: bool = False
    statuses: dict[int, Verdict] = field(default_factory=dict)
    timing: Timing = field(default_factory=Timing)


def read_settings(settings: Mapping[str, object]) -> SmppSettings:
    """Return the settings; needed are `host`, `port` and `system_id`.

    Raises:
        GatewayConfigError: Some are missing, unknown or wrong; the sentences list all faults.
    """
    reader = SettingReader(settings)
    read = SmppSettings(
        place=_place(reader),
        system_id=reader.word("system_id", longest=_LONGEST_SYSTEM_ID),
        password=reader.secret("password", longest=_LONGEST_PASSWORD),
        system_type=reader.word("system_type", usual="", longest=_LONGEST_SYSTEM_TYPE),
        service_type=reader.word("service_type", usual="", longest=_LONGEST_SERVICE_TYPE),
        mode=reader.choice("mode", Mode.TRANSCEIVER),
        window=reader.whole("window", usual=10, low=1, high=1000),
        rate_per_s=reader.number("rate_per_s", usual=10.0, low=0.1, high=1e6),
        alphabet=reader.choice("default_alphabet", Alphabet.GSM7),
        long=reader.choice("long", Long.UDH),
        validity=reader.choice("validity", ValidityForm.RELATIVE),
        id_form=reader.choice("id_form", IdForm.AUTO),
        source=_plan(reader, "source"),
        destination=_plan(reader, "dest"),
        country_code=_digits(reader, "country_code"),
        query_sender=reader.word("query_sender", usual="", longest=20),
        untyped_receipts=reader.yes_or_no("untyped_receipts"),
        statuses=_statuses(reader),
        timing=_timing(reader),
    )
    reader.refuse_the_rest("an SMPP gateway")
    if reader.faults:
        raise GatewayConfigError(" ".join(reader.faults))
    return read


def reaches_phones(settings: Mapping[str, object]) -> bool:
    """Return False only for a gateway on this machine, which a test or a simulator is."""
    host = settings.get("host")
    if host == "localhost":
        return False
    try:
        return not ipaddress.ip_address(str(host)).is_loopback
    except ValueError:
        return True


def _place(reader: SettingReader) -> Place:
    host = reader.word("host")
    tls = reader.yes_or_no("tls")
    name = reader.word("tls_name", usual=host)
    file = reader.path("tls_ca_file")
    if not tls and (file is not None or name != host):
        reader.faults.append("'tls_name' and 'tls_ca_file' are of use only with 'tls'.")
    return Place(
        host=host,
        port=reader.whole("port", usual=None, low=1, high=65_535),
        tls=tls,
        tls_name=name,
        tls_ca_file=file,
        connect_timeout_s=reader.number("connect_timeout_s", usual=10.0, low=0.1, high=60),
    )


def _timing(reader: SettingReader) -> Timing:
    usual = Timing()

    def seconds(key: str, usual_s: float, *, high: float = 3600) -> float:
        return reader.number(key, usual=usual_s, low=0.01, high=high)

    return Timing(
        answer_s=seconds("answer_timeout_s", usual.answer_s),
        enquire_s=seconds("enquire_s", usual.enquire_s),
        delivery_s=seconds("delivery_s", usual.delivery_s),
        reconnect_s=seconds("reconnect_s", usual.reconnect_s, high=60),
        settled_s=seconds("settled_s", usual.settled_s),
        refused_s=seconds("refused_s", usual.refused_s),
        throttle_s=seconds("throttle_s", usual.throttle_s, high=60),
    )


def _plan(reader: SettingReader, whose: str) -> Plan:
    return Plan(
        ton=reader.whole_or_none(f"{whose}_ton", low=0, high=_OCTET),
        npi=reader.whole_or_none(f"{whose}_npi", low=0, high=_OCTET),
    )


def _digits(reader: SettingReader, key: str) -> str:
    digits = reader.word(key, usual="", longest=3)
    if digits and not digits.isdigit():
        reader.faults.append(f"{key!r} must be digits, such as '255'.")
    return digits


def _statuses(reader: SettingReader) -> dict[int, Verdict]:
    table = reader.table("statuses")
    wrong = [
        status
        for status, word in table.items()
        if not _STATUS.fullmatch(status) or word not in _CLASSES
    ]
    if wrong:
        reader.faults.append(
            "'statuses' must give each status, such as '0x0401', one of: "
            f"{', '.join(_CLASSES)}; wrong are: {', '.join(sorted(wrong))}."
        )
        return {}
    return {int(status, 16): _CLASSES[word] for status, word in table.items()}
