"""Texts with the one reading each must have, written as lines that people can check.

A line is `CONTEXT | «text» READING ;; «text» READING`; ` ## ` begins another context. READING is a
word and what it names: `DONE A3+D2 d1` is both doses, a day ago; what follows READ, IGNORE and DROP
is the reason for a person.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from service.inbound.reply_codes import Context, DateOrder, DoseRef, Item, Meaning, Question
from service.inbound.words import languages

FOLDER = Path(__file__).parent / "unit" / "inbound"
REFERENCE = FOLDER / "vectors_reference.txt"
OWN = FOLDER / "vectors_own.txt"
RECEIVED_ON = date(2027, 3, 19)  # a Friday

_MEANINGS = {"NOTDONE": Meaning.NOT_DONE, "READ": Meaning.NEEDS_READING}
_WITHOUT_ITEMS = frozenset({Meaning.NEEDS_READING, Meaning.IGNORE, Meaning.DROP, Meaning.NOTED})
_VECTOR = re.compile(r"«(?P<text>.*)» (?P<reading>[A-Z].*)")
_ESCAPE = re.compile(r"\\(?:n|u[0-9a-f]{4}|U[0-9a-f]{8})")


@dataclass(frozen=True, slots=True, kw_only=True)
class Vector:
    """A text, who sends it, and what it means; items count only if `items` is not None.

    `said` is what stands behind the reading: for a text to read, the reason shown.
    """

    where: str
    context: str
    text: str
    meaning: Meaning
    items: tuple[Item, ...] | None
    said: str


def refs(codes: str) -> tuple[DoseRef, ...]:
    """Return the doses of a list such as "A3 D2"."""
    return tuple(DoseRef(plot=code[0], number=int(code[1])) for code in codes.split())


K = Context(
    language="sw",
    plots=("A", "D"),
    open=refs("A3 D2"),
    done=refs("A1 A2 D1"),
    cans=(3,),
    received_on=RECEIVED_ON,
)
_ONE = replace(K, plots=("A",), open=refs("A3"), done=refs("A1 A2"))
_SHARED = replace(K, plots=("A", "D", "G"), open=refs("A3 D2 G1"), shared=True)
_EMERGENCE = replace(K, question=Question.EMERGENCE, question_plot="A")
CONTEXTS: Mapping[str, Context] = {
    "K": K,
    "ONE": _ONE,
    "ONE1": replace(_ONE, open=refs("A1"), done=()),
    "SH": _SHARED,
    "EM": _EMERGENCE,
    "CO": replace(K, question=Question.CONSENT),
    "US": replace(K, date_order=DateOrder.MD),
    "TWO": replace(K, cans=(3, 4)),
    "SC": replace(K, sender="NETCALL"),
    "UN": replace(K, plots=(), open=(), done=(), cans=(), unknown=True),
    "FR": replace(_ONE, language="fr"),
    **{
        language.upper(): replace(K, language=language)
        for language in languages()
        if language not in {"sw", "fr"}
    },
    # beside the reference: a short code, a full number, a phone with all letters, other days
    "SHORT": replace(K, sender="15501"),
    "PLUS": replace(K, sender="+255100000001"),
    "SHONE": replace(_ONE, shared=True),
    "SHEM": replace(_EMERGENCE, shared=True),
    "NOPLOT": replace(_EMERGENCE, question_plot=None),
    "ALL": replace(
        K, plots=tuple("ADGJMPTW"), open=refs("A1 D1 G1 J1 M1 P1 T1 W1 G2 T2"), done=(), cans=()
    ),
    "HTW": replace(K, language="ht", plots=("W",), open=refs("W1"), done=()),
    "ESA": replace(K, language="es", plots=("A",), open=refs("A1"), done=()),
    "NINE": replace(K, doses=9, open=refs("A9"), done=()),
    "JAN": replace(K, received_on=date(2028, 1, 3)),
    "LEAP": replace(K, received_on=date(2028, 3, 2)),
    "SWTZ": replace(K, language="sw_TZ"),
    "XX": replace(K, language="xx_LONG"),
    "FRONE": replace(_ONE, language="fr"),
    "ENONE": replace(_ONE, language="en"),
    "NONE": replace(_ONE, open=()),
}


def vectors(file: Path) -> list[Vector]:
    """Return the vectors of a file in their order."""
    return list(_vectors(file))


def _vectors(file: Path) -> Iterator[Vector]:
    for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), start=1):
        for place, part in enumerate(line.split(" ## ") if line else []):
            context, _, rest = part.partition(" | ")
            for at, written in enumerate(rest.split(" ;; "), start=1):
                where = f"{file.stem} {number}.{place + 1}.{at}"
                yield _vector(where, context, written)


def _vector(where: str, context: str, written: str) -> Vector:
    found = _VECTOR.fullmatch(written)
    assert found is not None, f"{where}: cannot read {written!r}"
    text = _ESCAPE.sub(_unescaped, found["text"])
    word, *named = found["reading"].split()
    meaning = _MEANINGS.get(word) or Meaning(word.lower())
    items = None if meaning in _WITHOUT_ITEMS else _items(meaning, named)
    return Vector(
        where=where, context=context, text=text, meaning=meaning, items=items, said=" ".join(named)
    )


def _unescaped(escape: re.Match[str]) -> str:
    return escape.group().encode("ascii").decode("unicode_escape")


def _items(meaning: Meaning, named: list[str]) -> tuple[Item, ...]:
    days_ago = int(named[1].removeprefix("d")) if len(named) > 1 else 0
    names = named[0].split("+") if named else []
    if meaning is Meaning.SEALED:
        return tuple(Item(can=int(name), days_ago=days_ago) for name in names)
    return tuple(
        Item(plot=name[0], dose=int(name[1:]) if name[1:] else None, days_ago=days_ago)
        for name in names
    )
