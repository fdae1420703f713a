"""Ids of receipts and answers: which belong together, and when that cannot be told.

The rules are those of our reference for gateways; centres write ids as they like, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters.smpp.ids import IdForm, Sent, SentIds, TwoFitError, as_answered, normal

PHONE = "255100000001"


def ids(*gateway_ids: str, form: IdForm = IdForm.AUTO) -> SentIds:
    """Return the memory of texts taken under these ids, all to one phone."""
    memory = SentIds(form)
    for gateway_id in gateway_ids:
        memory.add(a_sent(gateway_id))
    return memory


def a_sent(gateway_id: str, destination: str = PHONE) -> Sent:
    """Return a text taken."""
    return Sent(
        gateway_id=gateway_id, to=f"+{destination}", destination=destination, sender="15050"
    )


def found(memory: SentIds, told: str, destination: str = PHONE) -> str | None:
    """Return the answer's id of the text that is found."""
    sent = memory.find(told, destination)
    return None if sent is None else sent.gateway_id


@pytest.mark.parametrize(
    ("answered", "told"),
    [
        ("9F0001", "9F0001"),
        ("9F0001", "9f0001"),
        ("9F0001", "00000000009F0001"),
        ("9F0001", '"9F0001"\0 '),
        ("9F0001", "10420225"),
        ("10420225", "9F0001"),
        ("00A", "10"),
        ("a1b2-c3d4", "A1B2-C3D4"),
        ("0", "000"),
    ],
)
def test_an_id_is_known_in_its_other_clothes(answered: str, told: str) -> None:
    assert found(ids(answered), told) == answered


def test_the_destination_has_to_match_as_well() -> None:
    assert found(ids("9F0001"), "9F0001", "255100000002") is None


def test_where_two_texts_fit_none_is_matched() -> None:
    """A receipt for 16 may be about the text 16, or about the text 10 in hexadecimal."""
    with pytest.raises(TwoFitError):
        ids("10", "16").find("16", PHONE)


def test_a_plain_case_teaches_the_form_and_settles_the_doubtful_ones() -> None:
    memory = ids("9F0001", "10", "16")

    assert found(memory, "10420225") == "9F0001"
    assert memory.form is IdForm.HEX_DEC
    assert found(memory, "16") == "10"


def test_an_id_that_is_alike_in_all_forms_teaches_nothing() -> None:
    memory = ids("5")

    assert found(memory, "5") == "5"
    assert memory.form is IdForm.AUTO


def test_a_set_form_knows_no_other() -> None:
    assert found(ids("9F0001", form=IdForm.SAME), "10420225") is None
    assert found(ids("10", "16", form=IdForm.DEC_HEX), "10") == "16"


@pytest.mark.parametrize(
    ("form", "told", "answered"),
    [
        (IdForm.HEX_DEC, "10420225", "9F0001"),
        (IdForm.DEC_HEX, "0009f0001", "10420225"),
        (IdForm.SAME, "0009f0001", "0009f0001"),
        (IdForm.AUTO, "10420225", "10420225"),
        (IdForm.HEX_DEC, "a1b2-c3d4", "a1b2-c3d4"),
    ],
)
def test_an_id_not_remembered_is_put_as_the_answer_would_have(
    form: IdForm, told: str, answered: str
) -> None:
    """After a restart nothing is remembered, but a form that is set still helps."""
    assert as_answered(told, form) == answered


def test_the_oldest_ids_are_forgotten() -> None:
    memory = SentIds(IdForm.AUTO)
    for number in range(50_001):
        memory.add(a_sent(f"{number:X}", str(number)))

    assert found(memory, "0", "0") is None
    assert found(memory, "1", "1") == "1"


@given(st.text(max_size=70), st.text(max_size=70))
def test_no_id_breaks_the_matching(answered: str, told: str) -> None:
    memory = ids(answered)
    try:
        assert found(memory, told) in (None, answered)
    except TwoFitError:
        pytest.fail("one text cannot be two")


@given(st.text(max_size=70))
def test_undressing_twice_changes_nothing(message_id: str) -> None:
    assert normal(normal(message_id)) == normal(message_id)
