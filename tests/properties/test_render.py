"""Laws of rendering, over made-up values."""

import re
from functools import cache
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from gateway_adapters.gsm7 import is_gsm7
from gateway_adapters.segments import split
from service.messages.catalogue import Catalogue
from service.messages.filling import Values, Wording
from service.messages.kinds import DAYS, KINDS
from service.messages.render import Reader, digest_fits, render
from service.messages.words import WordRefusedError

LOCALES = Path(__file__).resolve().parents[2] / "locales"
LETTERS = "ADGJMPTW"

LITRES = st.floats(min_value=0, max_value=999, allow_nan=False) | st.integers(0, 999)
ISO_DAYS = st.dates().map(lambda day: day.isoformat())
CODES = st.builds("{}{}".format, st.sampled_from(LETTERS), st.integers(1, 9))
PLOT_LETTERS = st.lists(st.sampled_from(LETTERS), min_size=1, max_size=8, unique=True)
COUNTS = st.integers(0, 400)
NAMES = st.text(alphabet="abcdefghijklmnop $\u00e9\u00e3", min_size=1, max_size=18).filter(
    str.strip
)
PACES = st.none() | st.builds(
    lambda measure, n, target, m: {measure: n, target: m},
    st.sampled_from(["cups", "caps"]),
    st.integers(1, 4),
    st.sampled_from(["plants", "paces"]),
    st.integers(1, 10),
)


@cache
def _catalogue() -> Catalogue:
    return Catalogue.load(LOCALES)


def _jobs() -> st.SearchStrategy[list[dict[str, object]]]:
    job: st.SearchStrategy[dict[str, object]] = st.fixed_dictionaries(
        {
            "label": st.none() | st.sampled_from(["Home 1", "Home 2", "Nyumba 3"]),
            "code": CODES,
            "urine": LITRES,
            "water": LITRES,
        }
    )
    return st.lists(job, min_size=1, max_size=12)


def _values(kind: str) -> st.SearchStrategy[Values]:
    crops = st.sampled_from(sorted(_catalogue().crops()))
    plots = st.lists(
        st.fixed_dictionaries({"plot": st.sampled_from(LETTERS), "crop": st.none() | crops}),
        min_size=1,
        max_size=8,
    )
    strategies: dict[str, st.SearchStrategy[object]] = {
        **dict.fromkeys(DAYS, ISO_DAYS),
        **dict.fromkeys(("urine", "water", "given", "max", "short", "litres", "ratio"), LITRES),
        **dict.fromkeys(("n", "k", "wait", "done", "of"), COUNTS),
        "advice": st.sampled_from(["halve", "last", "collect"])
        | st.fixed_dictionaries({"young": PLOT_LETTERS}),
        **dict.fromkeys(("group", "cost"), NAMES),
        **dict.fromkeys(("order", "codes"), PLOT_LETTERS),
        "can": st.none() | st.lists(COUNTS, min_size=1, max_size=2),
        "phone": st.just("+255100000001"),
        "plot": st.sampled_from(LETTERS),
        "code": CODES,
        "crop": crops,
        "tip": st.integers(1, 9),
        "per": PACES,
        "plots": plots,
        "jobs": _jobs(),
    }
    row = KINDS[kind]
    return st.fixed_dictionaries(
        {
            field: st.none() | strategies[field] if field in row.optional else strategies[field]
            for field in sorted((row.fields | row.optional) - {"what"})
        }
    )


def _readers() -> st.SearchStrategy[Reader]:
    wordings = st.builds(
        Wording, shared=st.booleans(), discreet=st.booleans(), what=st.none() | st.just("rutubisho")
    )
    languages = st.sampled_from(["en", "sw", "xx"])
    return st.builds(Reader, language=languages, fallback=languages, wording=wordings)


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_no_field_is_left_unfilled_and_no_letter_is_foreign(kind: str, data: st.DataObject) -> None:
    values = data.draw(_values(kind))
    reader = data.draw(_readers())
    signs = str(values.get("group", "")).count("$") + str(values.get("cost", "")).count("$")

    text = render(_catalogue(), kind, values, reader=reader).text

    assert text.count("$") == signs
    assert "None" not in text
    assert is_gsm7(text)


@given(urine=LITRES, water=LITRES, language=st.sampled_from(["en", "sw"]))
@example(urine=0.1 + 0.2, water=2.675, language="en")
@example(urine=1e-7, water=999, language="sw")
def test_litres_have_at_most_two_decimals_and_never_exceed_the_plan(
    urine: float, water: float, language: str
) -> None:
    jobs = [{"label": None, "code": "A3", "urine": urine, "water": water}]
    values: Values = {"day": "2027-03-28", "jobs": jobs, "can": None}

    text = render(
        _catalogue(), "digest", values, reader=Reader(language=language, fallback="en")
    ).text
    printed = re.search(r"A3 (\d+(?:\.\d{1,2})?)\+(\d+(?:\.\d{1,2})?)\. ", text)

    assert printed is not None
    # A float's own noise, a millionth of a litre, is not more urine.
    assert float(printed[1]) <= urine + 1e-6
    assert float(printed[2]) <= water + 1e-6
    assert float(printed[1]) > urine - 0.01 - 1e-6


@given(jobs=_jobs(), reader=_readers())
def test_the_jobs_that_fit_take_two_segments_and_one_more_would_not(
    jobs: list[dict[str, object]], reader: Reader
) -> None:
    values: Values = {"day": "2027-01-11", "jobs": jobs, "can": None}
    count = digest_fits(_catalogue(), values, reader=reader)

    def parts(jobs_told: int) -> int:
        shorter = {**values, "jobs": jobs[:jobs_told]}
        return len(split(render(_catalogue(), "digest", shorter, reader=reader).text).parts)

    assert 1 <= count <= min(8, len(jobs))
    assert parts(count) <= 2
    assert count == min(8, len(jobs)) or parts(count + 1) > 2


def _accepted(typed: str) -> str | None:
    try:
        return _catalogue().check_word(typed)
    except WordRefusedError:
        return None


@given(typed=st.text(max_size=14) | st.text(alphabet="abcdenprt -\u00e9", max_size=14))
@example(typed="garden mix")
@example(typed="chai ya asubuhi")
def test_a_word_that_passes_fits_its_room_and_is_no_code(typed: str) -> None:
    word = _accepted(typed)

    assert word is None or (is_gsm7(word) and len(word) <= 12)
    assert word is None or not any(character.isdigit() for character in word)
    assert word is None or _accepted(word) == word
