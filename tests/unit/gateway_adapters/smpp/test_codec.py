"""PDUs against the check values of our reference, and against two other codecs.

The values were had from smpplib, PyPI smpp34 and npm smpp, which agree on them. Where two octet
strings say the same (the order of parameters, the empty body of a refusal) fields are compared.
"""

import json
import os
import shutil
import subprocess
from dataclasses import replace
from datetime import UTC, datetime

import pytest
import smpp34

from gateway_adapters import gsm7
from gateway_adapters.contract import Encoding
from gateway_adapters.segments import split
from gateway_adapters.smpp.addresses import Address, Plan, phone_address, sender_address
from gateway_adapters.smpp.alphabets import Alphabet, encode
from gateway_adapters.smpp.codec import (
    Bind,
    Submit,
    read,
    write_bind,
    write_plain,
    write_query,
    write_submit,
)
from gateway_adapters.smpp.commands import Command
from gateway_adapters.smpp.headers import concatenation
from gateway_adapters.smpp.long_texts import UDH_INDICATOR, Long, bodies
from gateway_adapters.smpp.validity import ValidityForm, validity_period
from tests.gateways.peers.driver import NODE_MODULES
from tests.outgoing import PHONE

DAY_S = 86_400
UNTIL = datetime(2027, 3, 16, 15, 5, tzinfo=UTC)
NAME = "KUMBUSHO"
CODE = "15050"
RECEIPT = bytes.fromhex(
    "000000b60000000500000000000000070001013235353130303030303030310003003135303530000400000000"
    "000000007469643a316632653364207375623a30303120646c7672643a303031207375626d697420646174653a"
    "3237303331363138303520646f6e6520646174653a3237303331363138303620737461743a44454c4956524420"
    "6572723a30303020746578743a4a69627520413320756b696d616c697a612e001e000731663265336400042700"
    "0102"
)


def address_of(sender: str) -> Address:
    """Return a sender's address."""
    address = sender_address(sender, Plan())
    assert address is not None
    return address


def a_submit(sender: str, octets: bytes) -> Submit:
    """Return a submit to the test phone, plain in all else."""
    destination = phone_address(PHONE, Plan())
    assert destination is not None
    return Submit(source=address_of(sender), destination=destination, octets=octets)


def as_submit(octets: bytes) -> smpp34.SubmitSm:
    """Return a submit_sm as another codec reads it."""
    told = smpp34.decode(octets)
    assert isinstance(told, smpp34.SubmitSm)
    return told


REMINDER = replace(
    a_submit(NAME, gsm7.encode("Jibu A3 ukimaliza.")),
    registered_delivery=1,
    validity_period=validity_period(ValidityForm.RELATIVE, left_s=DAY_S, until=UNTIL),
)
ETHIOPIC = replace(a_submit(CODE, "ነገ".encode("utf-16-be")), data_coding=8)
PART = replace(
    a_submit(CODE, concatenation(0x2A, number=1, total=2) + gsm7.encode("aaa")),
    esm_class=UDH_INDICATOR,
    registered_delivery=1,
)
SUBMITS = [
    pytest.param(
        REMINDER,
        "000000570000000400000000000000070005004b554d425553484f000101323535313030303030303031000000"
        "0000303030303031303030303030303030520001000000124a69627520413320756b696d616c697a612e",
        id="reminder",
    ),
    pytest.param(
        replace(ETHIOPIC, registered_delivery=1),
        "000000360000000400000000000000070003003135303530000101323535313030303030303031000000000000"
        "010008000412901308",
        id="ethiopic",
    ),
    pytest.param(
        PART,
        "0000003b0000000400000000000000070003003135303530000101323535313030303030303031004000000000"
        "01000000090500032a0201616161",
        id="part",
    ),
]


@pytest.mark.parametrize(("submit", "octets"), SUBMITS)
def test_a_submit_is_written_as_two_other_codecs_write_it(submit: Submit, octets: str) -> None:
    assert write_submit(submit, sequence=7).hex() == octets


@pytest.mark.parametrize(("submit", "octets"), SUBMITS)
def test_a_third_codec_reads_the_fields_of_a_submit(submit: Submit, octets: str) -> None:
    """PyPI smpp34."""
    told = as_submit(write_submit(submit, sequence=7))

    assert told.encode().hex() == octets
    assert (told.source_addr, told.source_addr_ton, told.source_addr_npi) == (
        submit.source.digits,
        submit.source.ton,
        submit.source.npi,
    )
    assert (told.destination_addr, told.short_message) == (PHONE[1:], submit.octets)
    assert (told.esm_class, told.data_coding) == (submit.esm_class, submit.data_coding)
    assert told.validity_period == submit.validity_period


@pytest.mark.parametrize("text", ["A3", "a" * 400, "ነገ" * 60, "[A3] {5€} @$_é§" * 20])
@pytest.mark.parametrize("long", list(Long))
def test_long_texts_are_read_by_another_codec(text: str, long: Long) -> None:
    """Npm smpp, run in Node, reads back what each form of a long text carries."""
    carried = bodies(split(text), Alphabet.GSM7, long, reference=lambda: 42)
    pdus = [
        write_submit(
            replace(
                a_submit(CODE, body.octets),
                data_coding=body.data_coding,
                esm_class=body.esm_class,
                parameters=body.parameters,
            ),
            sequence=place,
        )
        for place, body in enumerate(carried, 1)
    ]
    told = _read_in_node(pdus)

    assert "".join(str(item["text"]) for item in told) == text
    assert [item["sequence"] for item in told] == list(range(1, len(pdus) + 1))
    if len(pdus) > 1:
        parts = [item["udh"] or item["sar"] for item in told]
        udh = [f"00032a{len(pdus):02x}{n:02x}" for n in range(1, len(pdus) + 1)]
        sar = [[42, len(pdus), n] for n in range(1, len(pdus) + 1)]
        assert parts == (udh if long is Long.UDH else sar)


@pytest.mark.parametrize(
    ("written", "octets"),
    [
        (
            write_bind(
                Bind(
                    command=Command.BIND_TRANSCEIVER,
                    system_id="grower",
                    password="secret",  # noqa: S106 -- the reference's
                ),
                sequence=7,
            ),
            "0000002300000009000000000000000767726f77657200736563726574000034000000",
        ),
        (write_plain(Command.ENQUIRE_LINK, sequence=7), "00000010000000150000000000000007"),
        (write_plain(Command.UNBIND, sequence=7), "00000010000000060000000000000007"),
        (write_plain(Command.DELIVER_SM_RESP, sequence=7), "0000001180000005000000000000000700"),
        (
            write_plain(Command.GENERIC_NACK, sequence=9, status=3),
            "00000010800000000000000300000009",
        ),
        (
            write_query("1f2e3d", address_of(CODE), sequence=7),
            "0000001f000000030000000000000007316632653364000300313530353000",
        ),
    ],
    ids=["bind", "enquire_link", "unbind", "deliver_sm_resp", "generic_nack", "query_sm"],
)
def test_other_pdus_are_written_right(written: bytes, octets: str) -> None:
    """The question by the layout of SMPP 3.4, 4.8.1; the others are check values."""
    assert written.hex() == octets


def test_a_receipt_is_read_with_its_parameters() -> None:
    delivery = read(RECEIPT).delivery

    assert delivery is not None
    assert (delivery.esm_class, delivery.receipted_id, delivery.message_state) == (4, "1f2e3d", 2)
    assert delivery.source == Address(ton=1, npi=1, digits=PHONE[1:])
    assert delivery.destination == Address(ton=3, npi=0, digits=CODE)
    told = smpp34.decode(RECEIPT)
    assert isinstance(told, smpp34.DeliverSm)
    assert delivery.text == told.short_message


@pytest.mark.parametrize(
    ("octets", "status", "message_id"),
    [
        ("0000001780000004000000000000000731663265336400", 0, "1f2e3d"),
        ("00000010800000040000005800000007", 0x58, None),
        ("0000001180000004000000580000000700", 0x58, ""),
    ],
    ids=["taken", "throttled", "throttled with an empty body"],
)
def test_an_answer_is_read(octets: str, status: int, message_id: str | None) -> None:
    pdu = read(bytes.fromhex(octets))

    assert (pdu.command, pdu.sequence) == (Command.SUBMIT_SM_RESP, 7)
    assert (pdu.status, pdu.message_id, pdu.unreadable) == (status, message_id, False)


def test_a_validity_is_written_in_both_forms() -> None:
    """SMPP 3.4, 7.1.1; 24 hours, and 15:05 UTC."""
    assert (
        validity_period(ValidityForm.RELATIVE, left_s=DAY_S + 0.9, until=UNTIL)
        == "000001000000000R"
    )
    assert validity_period(ValidityForm.ABSOLUTE, left_s=DAY_S, until=UNTIL) == "270316150500000+"
    assert (
        validity_period(ValidityForm.RELATIVE, left_s=40 * DAY_S, until=UNTIL) == "000030000000000R"
    )
    assert (
        validity_period(ValidityForm.RELATIVE, left_s=3_661.999, until=UNTIL) == "000000010101000R"
    )


def test_packed_septets_are_as_the_standard_packs_them() -> None:
    """TS 23.038: the packed `hellohello`; with seven spare bits a CR, as 6.1.2.3.1 has it."""
    ten = encode("hellohello", Encoding.GSM7, Alphabet.GSM7_PACKED)
    seven = encode("1234567", Encoding.GSM7, Alphabet.GSM7_PACKED)

    assert ten.hex().upper() == "E8329BFD4697D9EC37"
    assert seven.hex().upper() == "31D98C56B3DD1A"


def _read_in_node(pdus: list[bytes]) -> list[dict[str, object]]:
    script = """
const { PDU } = require('smpp');
const lines = require('fs').readFileSync(0, 'utf8').trim().split('\\n');
console.log(JSON.stringify(lines.map((hex) => {
  const pdu = new PDU(Buffer.from(hex, 'hex'));
  const carried = pdu.message_payload || pdu.short_message;
  return { sequence: pdu.sequence_number, text: carried.message,
    udh: carried.udh ? Buffer.concat(carried.udh).toString('hex') : '',
    sar: [pdu.sar_msg_ref_num, pdu.sar_total_segments, pdu.sar_segment_seqnum] };
})));
"""
    node = shutil.which("node")
    assert node is not None
    done = subprocess.run(  # noqa: S603 -- our own script
        [node, "-e", script],
        input="\n".join(pdu.hex() for pdu in pdus),
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "NODE_PATH": str(NODE_MODULES)},
    )
    told: list[dict[str, object]] = json.loads(done.stdout)
    return told
