"""How the invented growers write: the same report in several hands. Made-up demo data."""

from collections.abc import Sequence

KEYS = {"A": "2", "D": "3", "G": "4", "J": "5", "M": "6", "P": "7", "T": "8", "W": "9"}
WORDS = {
    "en": {
        "yes": "YES",
        "no": "NO",
        "done": "done",
        "up": "UP",
        "sown": "SOWN",
        "rain": "RAIN",
        "burnt": "BURN",
        "harvest": "HARVEST",
        "can": "CAN",
        "help": "HELP",
        "why": "WHY",
        "stop": "STOP",
        "start": "START",
    },
    "sw": {
        "yes": "NDIYO",
        "no": "HAPANA",
        "done": "tayari",
        "up": "OTA",
        "sown": "PANDA",
        "rain": "MVUA",
        "burnt": "UNGUA",
        "harvest": "VUNA",
        "can": "DUMU",
        "help": "MSAADA",
        "why": "KWA NINI",
        "stop": "ACHA",
        "start": "ANZA",
    },
}


def word(language: str, name: str) -> str:
    """Return a reply word of a language."""
    return WORDS[language][name]


def done(codes: Sequence[str], days_ago: int, *, hand: str, language: str) -> str:
    """Return the report that doses were done so many days ago, in a grower's hand."""
    ago = f" {days_ago}" if days_ago else ""
    match hand:
        case "digits":
            return " ".join(KEYS[code[0]] + code[1:] for code in codes) + ago
        case "words":
            return f"{' '.join(codes)} {word(language, 'done')}" if not ago else codes[0] + ago
        case "messy":
            return f" {'. '.join(code.lower()[0] + ' ' + code[1:] for code in codes)}{ago}. "
        case _:
            return " ".join(codes) + ago
