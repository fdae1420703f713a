"""Texts at which a coder of short messages goes wrong: the limits of parts, and odd letters.

By 3GPP TS 23.038 and 23.040; how each is split stands in the tests of `segments`. Without the form
feed, which one of the far ends' decoders leaves out.
"""

_REMINDER = (
    "Kesho ni siku ya kumwagilia mahindi, shamba A, mara ya 3. Mkojo lita 4, maji lita 8. "
    "Jibu A3 ukimaliza."
)
CHECKED = (
    "A",
    *("a" * length for length in (160, 161, 306, 307, 459, 460)),
    "a" * 158 + "€",
    "a" * 159 + "€",
    "a" * 152 + "€" + "a" * 151,
    "a" * 152 + "€" + "a" * 152,
    *("€" * length for length in (80, 81, 153)),
    "^{}\\[~]|€",
    *("\u1200" * length for length in (70, 71, 134, 135)),
    *("🌱" * length for length in (35, 36)),
    "ŋ" * 66 + "🌱" + "ŋ" * 66,
    _REMINDER,
    (_REMINDER + " ") * 2,
    "Ng'ombe wako, shamba A",
    "Ng\u2019ombe wako, shamba A",
    "6:00\u202fPM",
    "lita\u00a04",
    "mwagi\u00adlia",
    "1.5 L/m2",
    "1.5 L/m²",
    "lita 3\u20134",
    "ÇA VA",
    "ça va",
    "a`b",
    "§ 3",
    "a\tb",
    "ba'an",
    "eŋŋombe",
    "eng'ombe",
    "re\u0301ponse",
    "réponse",
    "\u2126",
    "Ω",
)
