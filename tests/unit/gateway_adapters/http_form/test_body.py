"""Templates: each value stays in its field, whatever it holds."""

import json
from dataclasses import replace
from datetime import UTC, datetime
from urllib.parse import parse_qsl

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from gateway_adapters.http_form.body import (
    FIELDS,
    Body,
    encode_form,
    fill,
    message_values,
    template_faults,
    used_fields,
)
from tests.outgoing import NEXT_EVENING, PHONE, an_outgoing

EVIL = 'x" }, {"to": "+255100000009"\r\nTo: y&to=z%00$to ${text} $$ \\'
TEMPLATE = {
    "to": "$to",
    "text": "$text",
    "more": [{"ref": "m-$token", "from": "$from", "n": 1, "flag": True, "none": None}],
}
texts = st.text(st.characters(exclude_categories=["Cs"]), min_size=1)


def _values(text: str) -> dict[str, str | int]:
    message = replace(an_outgoing(), text=text)
    return message_values(message, to=PHONE, validity="instant", left_s=60)


@given(texts)
@example(EVIL)
def test_a_text_never_breaks_out_of_its_field_of_json(text: str) -> None:
    """Threat T6 of the project's security reference."""
    sent = json.loads(Body(form=False, template=TEMPLATE).one(_values(text)))

    assert sent == {
        "to": PHONE,
        "text": text,
        "more": [{"ref": "m-m1", "from": "15050", "n": 1, "flag": True, "none": None}],
    }


@given(texts)
@example(EVIL)
def test_a_text_never_breaks_out_of_its_field_of_a_form(text: str) -> None:
    """Threat T6 of the project's security reference."""
    template = {"a&b": "$to", "text": "=$text="}
    sent = Body(form=True, template=template).one(_values(text))

    assert parse_qsl(sent.decode("ascii"), keep_blank_values=True, strict_parsing=True) == [
        ("a&b", PHONE),
        ("text", f"={text}="),
    ]


def test_several_messages_stand_in_one_list_in_order() -> None:
    values = [_values("a"), _values("b")]
    body = Body(form=False, template={"t": "$text"}, key="all")

    assert json.loads(body.several(values)) == {"all": [{"t": "a"}, {"t": "b"}]}
    assert json.loads(replace(body, key=None).several(values)) == [{"t": "a"}, {"t": "b"}]


@pytest.mark.parametrize(
    ("validity", "value"),
    [
        ("instant", "2027-03-16T15:00:00Z"),
        ("unix", 1_805_209_200),
        ("seconds-left", 119),
        ("minutes-left", 1),
    ],
)
def test_the_end_of_validity_is_never_later_on_the_wire(validity: str, value: object) -> None:
    """16 March 2027, 15:00 UTC; 119.9 seconds are one whole minute and 119 whole seconds."""
    late = replace(an_outgoing(), valid_until=NEXT_EVENING.replace(microsecond=999_999))
    values = message_values(late, to=PHONE, validity=validity, left_s=119.9)

    assert values["valid_until"] == value
    assert datetime.fromtimestamp(1_805_209_200, tz=UTC) == NEXT_EVENING


def test_a_field_that_stands_alone_keeps_its_kind() -> None:
    template = {"n": "$n", "s": "in $n", "d": "$$n"}

    assert fill(template, {"n": 7}) == {"n": 7, "s": "in 7", "d": "$n"}
    assert encode_form({"n": 7}) == b"n=7"


@pytest.mark.parametrize(
    ("template", "form", "end"),
    [
        ({"to": "$to", "x": "$number"}, False, "has unknown fields: number"),
        ({"x": "cost: 5$"}, False, "has a $ that begins no field"),
        ({"x": ["$text"]}, True, "must be a table of texts"),
        ("$text", True, "must be a table of texts"),
        ({"x": datetime(2027, 3, 15, tzinfo=UTC)}, False, "holds a value that JSON lacks"),
        ({"x": float("nan")}, False, "holds a value that JSON lacks"),
    ],
    ids=range(6),
)
def test_a_template_with_a_fault_is_told(template: object, form: bool, end: str) -> None:  # noqa: FBT001 -- a column
    (fault,) = template_faults(template, fields=FIELDS, form=form)

    assert fault.startswith(end)


def test_the_fields_that_are_used_are_known() -> None:
    assert template_faults(TEMPLATE, fields=FIELDS, form=False) == []
    assert used_fields(TEMPLATE) == {"to", "text", "token", "from"}
