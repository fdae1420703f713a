"""A text filled the fast way is what Python's own template makes of it."""

from string import Template

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters import gsm7
from service.messages.language import Language
from tests.fresh import shipped_texts

FIELDS = {"a": "1", "bc": "{x}", "d_e": "$"}
PIECES = st.sampled_from(["$a", "${bc}", "$d_e", "$$", "{", "}", "{a}", " ", "litre", "%s", "ŋ"])


def language_with(text: str) -> Language:
    known = shipped_texts().languages["en"]
    return Language(
        code="en",
        locale=known.locale,
        review=known.review,
        encoding=known.encoding,
        texts={"it": text},
        words=known.words,
    )


@given(st.lists(PIECES, min_size=1).map(" ".join))
def test_any_text_is_filled_as_its_template_is(text: str) -> None:
    filled = language_with(text).filled("it", FIELDS)

    assert filled == gsm7.fold(Template(text).substitute(FIELDS))


@pytest.mark.parametrize("text", ["$", "5 $ a litre", "${a", "$1"])
def test_a_dollar_sign_that_stands_alone_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="dollar sign stands alone"):
        language_with(text).filled("it", FIELDS)


def test_a_field_without_a_value_is_missing() -> None:
    with pytest.raises(KeyError, match="gone"):
        language_with("$gone").filled("it", FIELDS)
