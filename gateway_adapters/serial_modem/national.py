"""National tables of the GSM alphabet, for reading only (3GPP TS 23.038, annex A). Pure.

Turkish (1), Spanish (2), Portuguese (3). Texts are never sent in them: old phones show them wrong.
"""

from gateway_adapters import gsm7

_EXTENSION = dict(
    zip(
        (0x0A, 0x14, 0x28, 0x29, 0x2F, 0x3C, 0x3D, 0x3E, 0x40, 0x65),
        gsm7.EXTENSION,
        strict=True,
    )
)
_SINGLE: dict[int, dict[int, str]] = {  # A.2.1 to A.2.3
    1: _EXTENSION | {0x47: "Ğ", 0x49: "İ", 0x53: "Ş", 0x63: "ç", 0x67: "ğ", 0x69: "ı", 0x73: "ş"},  # noqa: RUF001 -- the dotless i is meant
    2: _EXTENSION
    | {0x09: "ç", 0x41: "Á", 0x49: "Í", 0x4F: "Ó", 0x55: "Ú"}
    | {0x61: "á", 0x69: "í", 0x6F: "ó", 0x75: "ú"},
    3: _EXTENSION
    | {0x05: "ê", 0x09: "ç", 0x0B: "Ô", 0x0C: "ô", 0x0E: "Á", 0x0F: "á", 0x12: "Φ", 0x13: "Γ"}
    | {0x15: "Ω", 0x16: "Π", 0x17: "Ψ", 0x18: "Σ", 0x19: "Θ", 0x1F: "Ê", 0x41: "À", 0x49: "Í"}
    | {0x4F: "Ó", 0x55: "Ú", 0x5B: "Ã", 0x5C: "Õ", 0x61: "Â", 0x69: "í", 0x6F: "ó", 0x75: "ú"}
    | {0x7B: "ã", 0x7C: "õ", 0x7F: "â"},
}
_LOCKING = {  # A.3.1 and A.3.3; Spanish has none
    1: (
        "@£$¥€éùıòÇ\nĞğ\rÅåΔ_ΦΓΛΩΠΨΣΘΞ\x1bŞşßÉ"
        " !\"#¤%&'()*+,-./0123456789:;<=>?"
        "İABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§"
        "çabcdefghijklmnopqrstuvwxyzäöñüà"
    ),
    3: (
        "@£$¥êéúíóç\nÔô\rÁáΔ_ªÇÀ∞^\\€Ó|\x1bÂâÊÉ"
        " !\"#º%&'()*+,-./0123456789:;<=>?"
        "ÍABCDEFGHIJKLMNOPQRSTUVWXYZÃÕÚÜ§"
        "~abcdefghijklmnopqrstuvwxyzãõ`üà"
    ),
}
_DEFAULT = 0


def decode(septets: bytes, *, locking: int, single: int) -> tuple[str, bool]:
    """Return the text of septets, one in each octet, and whether both tables are known here.

    The two are language numbers; 0 is the default table. An unknown one is read as the default.
    """
    known = locking in (_DEFAULT, *_LOCKING) and single in (_DEFAULT, *_SINGLE)
    if (locking, single) == (_DEFAULT, _DEFAULT) or not known:
        return gsm7.decode(septets), known
    extension = _SINGLE.get(single, _EXTENSION)
    text: list[str] = []
    codes = iter(septets)
    for code in codes:
        if code & 0x7F != gsm7.ESCAPE:
            text.append(_basic(code, locking))
            continue
        extended = next(codes, gsm7.ESCAPE) & 0x7F
        plain = " " if extended == gsm7.ESCAPE else _basic(extended, locking)
        text.append(extension.get(extended, plain))
    return "".join(text), known


def _basic(code: int, locking: int) -> str:
    table = _LOCKING.get(locking)
    return gsm7.decode(bytes([code & 0x7F])) if table is None else table[code & 0x7F]
