"""Parts of texts against two unrelated libraries: PyPI smsutil 1.1.3 and npm split-sms 0.1.7.

Left out is what is known to differ: they take ESC for a character, and cut a letter off its
combining marks, which we keep together (3GPP TS 23.040 says nothing of marks).
"""

import json
import os
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import smsutil
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters.contract import Encoding
from gateway_adapters.gsm7 import ALPHABET
from gateway_adapters.segments import split
from service.messages.catalogue import Catalogue
from service.messages.kinds import KINDS
from service.messages.worst import worst_cases
from tests.gateways.peers.driver import HERE, NODE_MODULES
from tests.peers.dice import Dice

LOCALES = Path(__file__).resolve().parents[2] / "locales"
TEXTS = 3_000
LIMIT_S = 60
GSM = sorted(ALPHABET)
WIDE = [*"ŋĩũẹọነገውሃ\u2019\u2013", "🌱", "🥭"]  # two of them take a surrogate pair
SEAMS = (1, 66, 67, 70, 133, 134, 135, 152, 153, 154, 160, 161, 305, 306, 307, 460)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """How a text is cut: whether it stays in the GSM alphabet, and its parts."""

    gsm: bool
    parts: list[str]


def ours(text: str) -> Cut:
    made = split(text)
    return Cut(gsm=made.encoding is Encoding.GSM7, parts=list(made.parts))


def by_smsutil(text: str) -> Cut:
    made = smsutil.split(text)
    return Cut(gsm=made.encoding == "gsm0338", parts=[part.content for part in made.parts])


def by_split_sms(texts: Sequence[str]) -> list[Cut]:
    done = subprocess.run(  # noqa: S603 -- our own program, with our own words
        ["node", str(HERE / "split.js")],  # noqa: S607 -- Node is how the peers run
        input="".join(f"{json.dumps(text)}\n" for text in texts),
        env={**os.environ, "NODE_PATH": str(NODE_MODULES)},
        capture_output=True,
        text=True,
        check=True,
        timeout=LIMIT_S,
    )
    return [Cut(**json.loads(line)) for line in done.stdout.splitlines()]


def made_up(dice: Dice) -> str:
    """Return a text that ends near a seam, with many characters of two units."""
    length = dice.pick(SEAMS) + dice.between(-2, 2)
    alphabet = GSM if dice.happens(50) else [*GSM, *WIDE]
    extended = [character for character in GSM if character in "^{}\\[~]|€"]
    return "".join(
        dice.pick(extended) if dice.happens(20) else dice.pick(alphabet)
        for _ in range(max(1, length))
    )


@given(st.text(st.sampled_from([*GSM, *WIDE]), min_size=1, max_size=480))
def test_smsutil_cuts_any_text_as_we_do(text: str) -> None:
    assert by_smsutil(text) == ours(text)


def test_both_libraries_cut_texts_around_the_seams_as_we_do() -> None:
    dice = Dice(20270315)
    texts = [made_up(dice) for _ in range(TEXTS)]

    theirs = by_split_sms(texts)

    assert len(theirs) == TEXTS
    assert [text for text in texts if by_smsutil(text) != ours(text)] == []
    assert [text for text, cut in zip(texts, theirs, strict=True) if cut != ours(text)] == []


def test_both_libraries_cut_the_longest_of_every_text_in_every_language_as_we_do() -> None:
    catalogue = Catalogue.load(LOCALES)
    crops = frozenset(catalogue.languages["en"].named("crop."))
    texts = [
        case.text
        for language in catalogue.languages.values()
        for kind in KINDS.values()
        for case in worst_cases(language, kind, crops=crops)
    ]

    theirs = by_split_sms(texts)

    assert len(theirs) == len(texts) > 100
    assert [text for text in texts if by_smsutil(text) != ours(text)] == []
    assert [text for text, cut in zip(texts, theirs, strict=True) if cut != ours(text)] == []
