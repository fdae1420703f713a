"""Who may be texted on a phone, and whom an invitation waits for.

The letters of a story, in order: V a household's spoken yes, G the phone's own YES or START, S its
STOP, R its refusal; W the spoken yes of a second household on the same phone.
"""

import pytest

from service.records.people import Consent, ConsentEventRow, HouseholdRow, PhoneRow
from service.records.phones import PhoneBundle

KINDS = {
    "V": Consent.VERBAL,
    "W": Consent.VERBAL,
    "A": Consent.VERBAL,
    "G": Consent.GIVEN,
    "S": Consent.STOPPED,
    "R": Consent.REFUSED,
}
HOUSEHOLDS = {"V": 1, "W": 2}


def a_phone(story: str) -> PhoneBundle:
    events = tuple(
        ConsentEventRow(id=place, kind=KINDS[letter], household_id=HOUSEHOLDS.get(letter))
        for place, letter in enumerate(story, start=1)
    )
    return PhoneBundle(
        phone=PhoneRow(id=1),
        households=(HouseholdRow(id=1), HouseholdRow(id=2)),
        consents=events,
    )


@pytest.mark.parametrize(
    ("story", "agreed"),
    [
        pytest.param("", set(), id="nobody asked"),
        pytest.param("V", set(), id="asked, not answered"),
        pytest.param("G", set(), id="a yes that nobody asked for"),
        pytest.param("GV", set(), id="a yes before the question"),
        pytest.param("VG", {1}, id="asked and answered"),
        pytest.param("AG", {1, 2}, id="asked for all on the phone"),
        pytest.param("VGW", {1}, id="the second household waits"),
        pytest.param("VGWG", {1, 2}, id="both"),
        pytest.param("VGS", set(), id="stopped"),
        pytest.param("VR", set(), id="refused"),
        pytest.param("VGSV", set(), id="a spoken yes does not undo a STOP"),
        pytest.param("VGSG", {1}, id="START undoes it"),
        pytest.param("VWGSG", {1, 2}, id="for all who were asked"),
    ],
)
def test_a_household_is_texted_after_its_spoken_yes_and_the_phones_own(
    story: str, agreed: set[int]
) -> None:
    assert a_phone(story).consenting() == agreed


@pytest.mark.parametrize(
    ("story", "waiting"),
    [
        pytest.param("", None, id="nobody asked"),
        pytest.param("V", 1, id="asked"),
        pytest.param("VV", 2, id="asked again"),
        pytest.param("VG", None, id="answered"),
        pytest.param("VGW", 3, id="a household added later"),
        pytest.param("VS", None, id="stopped"),
        pytest.param("VR", None, id="refused"),
        pytest.param("VGSW", None, id="added after a STOP"),
        pytest.param("VGSG", None, id="stopped and started again"),
        pytest.param("VGSGW", 5, id="added after that"),
        pytest.param("VSG", None, id="a START answers the question asked before the STOP"),
    ],
)
def test_an_invitation_waits_for_the_newest_spoken_yes_not_answered(
    story: str, waiting: int | None
) -> None:
    event = a_phone(story).uninvited()

    assert (None if event is None else event.id) == waiting


@pytest.mark.parametrize(
    ("story", "stopped"),
    [
        ("", False),
        ("V", False),
        ("VG", False),
        ("VGS", True),
        ("VR", True),
        ("VGSV", True),
        ("VGSG", False),
    ],
)
def test_the_phones_own_last_word_says_whether_it_stopped(story: str, *, stopped: bool) -> None:
    assert a_phone(story).stopped() is stopped


def test_a_phone_of_two_households_is_shared() -> None:
    alone = PhoneBundle(phone=PhoneRow(id=1), households=(HouseholdRow(id=1),), consents=())

    assert (a_phone("").shared, alone.shared) == (True, False)
