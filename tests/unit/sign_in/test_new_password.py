"""A new password is long and not among the first that others try; its characters are free."""

import string
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.sign_in.new_password import PasswordRefusedError, check_new_password

CONTEXT = ("asha.mkulima", "Mbelindo Growers", "mbelindo")


@pytest.mark.parametrize(
    "password",
    [
        "plum ladder seven teapots",
        "correct horse battery staple",
        "xkq7 vw2m 9t4r",
        "            plum ladder",
        "मेरी बाल्टी नीली और गोल है",
        "twelve chars",
        "love 8392017465018",
        "x" + "qwerty" + "plum 7 teapots",
        "zqwkplmvxrtn",
        "!?§%&/()=+*#",
        "918273645564738291",
        "plum" * 8 + "ladder seven",
        "blue teapot sings rain",
    ],
)
def test_a_password_of_any_characters_is_taken_as_it_is(password: str) -> None:
    assert check_new_password(password, context=CONTEXT) == password


@pytest.mark.parametrize(
    "password",
    [
        pytest.param("passwordpassword", id="a word twice"),
        pytest.param("password1234", id="a word and digits"),
        pytest.param("Password2027!", id="a word, a year and a sign"),
        pytest.param("P@ssw0rd2027", id="look-alikes"),
        pytest.param("p4ssw0rd!!!!", id="look-alikes and signs"),
        pytest.param("iloveyou!!!!", id="a wish"),
        pytest.param("welcome welcome!", id="a word and a blank"),
        pytest.param("summerharvest", id="two season words"),
        pytest.param("Harvest 2027 Rain", id="two words round a year"),
        pytest.param("111welcome111", id="digits round a word"),
        pytest.param("aaaaaaaaaaaa", id="one character"),
        pytest.param("abababababab", id="two characters"),
        pytest.param("abc9abc9abc9", id="a part three times"),
        pytest.param("xkq7vmxkq7vm", id="an odd part twice"),
        pytest.param("qwertyuiop12", id="a row of keys"),
        pytest.param("qwertyasdfgh", id="two rows of keys"),
        pytest.param("poiuytrewq!!", id="a row of keys backwards"),
        pytest.param("1qaz2wsx3edc", id="columns of keys"),
        pytest.param("abcdefghijkl", id="the alphabet"),
        pytest.param("123456789012", id="digits in order"),
        pytest.param("255100000001", id="a telephone number"),
        pytest.param("15031987150387", id="dates"),
        pytest.param("furrowbell2027", id="the service"),
        pytest.param("Furrow-Bell-27", id="the service in two words"),
        pytest.param("mbelindo2027", id="the association"),
        pytest.param("MbelindoGrowers", id="the association's whole name"),
        pytest.param("asha.mkulima", id="the sign-in name"),
        pytest.param("mkulima asha 1", id="the sign-in name turned round"),
        pytest.param("shamba karibu", id="two Swahili words"),
    ],
)
def test_what_others_try_first_is_refused(password: str) -> None:
    with pytest.raises(PasswordRefusedError, match="first that others would try"):
        check_new_password(password, context=CONTEXT)


def test_the_context_is_what_makes_a_name_guessable() -> None:
    assert check_new_password("mbelindo2027") == "mbelindo2027"


@pytest.mark.parametrize(
    ("password", "sentence"),
    [
        pytest.param("plum ladder", "12 characters or more", id="eleven"),
        pytest.param("", "12 characters or more", id="nothing"),
        pytest.param("e\u0301" * 11, "12 characters or more", id="eleven written as 22"),
        pytest.param("plum ladder 7 " * 10, "128 characters or fewer", id="140"),
        pytest.param("plum\0ladder seven", "letters, digits, signs and blanks", id="NUL"),
        pytest.param("plum\ud800ladder seven", "letters, digits, signs and blanks", id="half"),
    ],
)
def test_a_refused_password_says_what_to_do(password: str, sentence: str) -> None:
    with pytest.raises(PasswordRefusedError, match=sentence) as caught:
        check_new_password(password)

    assert "plum" not in caught.value.sentence


def test_the_bounds_themselves_are_taken() -> None:
    longest = ("plum ladder 7 teapot " * 6 + "qz")[:128]

    assert len(check_new_password("twelve chars")) == 12
    assert len(check_new_password(longest)) == 128


def test_a_password_is_kept_in_its_composed_form() -> None:
    composed = unicodedata.normalize("NFC", "brûlée ladder plum")

    assert check_new_password(unicodedata.normalize("NFD", composed)) == composed


def answered(password: str) -> str:
    try:
        return check_new_password(password)
    except PasswordRefusedError as refused:
        return refused.sentence


@given(st.text(string.ascii_letters + string.digits, min_size=16, max_size=128))
def test_whatever_is_typed_is_answered(password: str) -> None:
    answer = answered(password)

    assert answer == password or "first that others would try" in answer


@given(
    st.sampled_from(["password", "dragon", "welcome", "harvest", "mbelindo", "football"]),
    st.text("0123456789", max_size=8),
    st.text("!?. -_", max_size=6),
)
def test_no_digits_or_signs_save_a_common_word(word: str, digits: str, signs: str) -> None:
    password = f"{signs}{word.title()}{digits}{signs}".ljust(12, "!")

    with pytest.raises(PasswordRefusedError):
        check_new_password(password, context=CONTEXT)
