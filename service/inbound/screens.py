"""What is settled before any code is read: machines, forwarded reminders, short requests."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from service.inbound.codes import names_code, names_key_code
from service.inbound.pieces import Ear
from service.inbound.tokens import Kind, Token, words_of
from service.inbound.words import (
    ACTS,
    ANSWERS,
    Phrase,
    lexicon,
    machine_phrases,
    phrases_everywhere,
)

# A forwarded reminder is long and mostly ours; both figures are common practice, no source.
_ECHO_WORDS = 8
_ECHO_SHARE = 0.6
_SHORT = 3  # a longer text with HELP or START in it tells a story

_READ = "needs-reading"
_PHONE_NUMBER = re.compile(r"\+[0-9]{7,15}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller:
    """Who wrote: how to hear it, and what we know of the number.

    `sender` is None for an ordinary phone number, `sent` holds the texts sent to it lately.
    """

    ear: Ear
    sender: str | None
    unknown: bool
    sent: tuple[str, ...]


def settle_early(tokens: Sequence[Token], caller: Caller) -> tuple[str, str] | None:
    """Return a text's meaning and hint if they are settled before any code is read, else None.

    The order is the rule: machines first, then echoes, STOP, JOIN, strangers, START and HELP.
    """
    words = [token.text for token in tokens]
    language = caller.ear.language
    stopping = stop_languages(words)
    lettered = names_code(tokens, caller.ear.letters, known=lexicon(language).single)
    coded = lettered or names_key_code(tokens, caller.ear.letters)
    denied = bool(stopping) and _is_negated(words, {language, "en"} | stopping)
    asked = _short_request(tokens, caller)
    by_machine = bool(_found(words, machine_phrases()))
    steps = (
        (_is_machine_sender(caller.sender), "drop", "machine"),
        # A report or a STOP is never thrown away because of the words around it.
        (by_machine and (lettered or bool(stopping)), _READ, "machine?"),
        (by_machine, "drop", "machine"),
        (_is_echo(words, caller.sent), _READ, "echo"),
        (bool(stopping) and coded, _READ, "stop+code"),
        (denied, _READ, "stop?"),
        (bool(stopping), "stop", ""),
        (asked == "join", "join", ""),
        (caller.unknown, _READ, "unknown sender"),
        (bool(asked), asked, ""),
    )
    return next(((meaning, hint) for holds, meaning, hint in steps if holds), None)


def stop_languages(words: Sequence[str]) -> frozenset[str]:
    """Return the languages whose STOP word stands in a text, letter by letter or whole."""
    phrases = phrases_everywhere("stop")
    if words and all(len(word) == 1 for word in words):
        words = ("".join(words),)
    return frozenset[str]().union(*(phrases[phrase] for phrase in _found(words, phrases)))


def is_refusal(words: Sequence[str]) -> bool:
    """Say whether a text holds words of refusal in any language."""
    return bool(_found(words, phrases_everywhere("refusal")))


def _is_machine_sender(sender: str | None) -> bool:
    return sender is not None and _PHONE_NUMBER.fullmatch(sender) is None


def _is_echo(words: Sequence[str], sent: Iterable[str]) -> bool:
    if len(words) < _ECHO_WORDS:
        return False
    for text in sent:
        known = set(words_of(text))
        if sum(word in known for word in words) >= _ECHO_SHARE * len(words):
            return True
    return False


def _is_negated(words: Sequence[str], languages: Iterable[str]) -> bool:
    return any(
        entry.role in {"not", "no"} and _holds(words, phrase)
        for language in languages
        for phrase, entry in lexicon(language).entries.items()
    )


def _short_request(tokens: Sequence[Token], caller: Caller) -> str:
    """Return the one request of a short text, join, start or help, or nothing.

    A stranger's language is a guess, so JOIN counts in all languages.
    """
    words = [token.text for token in tokens]
    plain = all(
        token.kind is Kind.WORD and token.text not in caller.ear.letters for token in tokens
    )
    if len(words) > _SHORT or not plain or _is_negated(words, {caller.ear.language}):
        return ""
    asked = _roles_in(words, caller.ear.language) & {*ACTS, *ANSWERS, "later"}
    if _found(words, phrases_everywhere("join")):
        asked.add("join")
    return min(asked) if asked in ({"join"}, {"start"}, {"help"}) else ""


def _roles_in(words: Sequence[str], language: str) -> set[str]:
    known = lexicon(language)
    roles: set[str] = set()
    at = 0
    while at < len(words):
        length, entry = known.match(words, at) or (1, None)
        if entry is not None:
            roles.add(entry.role)
        at += length
    return roles


def _found(words: Sequence[str], phrases: Iterable[Phrase]) -> list[Phrase]:
    return [phrase for phrase in phrases if _holds(words, phrase)]


def _holds(words: Sequence[str], phrase: Phrase) -> bool:
    length = len(phrase)
    return any(tuple(words[at : at + length]) == phrase for at in range(len(words) - length + 1))
