"""Passwords: what may be one, and how one is kept (argon2id).

Hashing takes 64 MiB each time, so two at once are the most; who waits too long is turned away.
"""

import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from service.errors import ServiceError
from service.sign_in.secrets import new_token

LEAST, MOST = 12, 128  # characters
AT_ONCE = 2
LONGEST_WAIT_S = 2.0  # a waiting person holds one of the server's few threads


class BusyError(ServiceError):
    """More people sign in at once than the machine has memory for."""

    def __init__(self) -> None:
        super().__init__("Many people are signing in just now. Wait a few seconds, then try again.")


class Hasher:
    """Hashes and checks passwords; `Passwords.place` gives one out."""

    def __init__(self, argon: PasswordHasher, dummy: str) -> None:
        self._argon = argon
        self._dummy = dummy

    def hash(self, password: str) -> str:
        """Return what is kept of a password that was checked."""
        return self._argon.hash(_composed(password))

    def verify(self, kept: str, password: str) -> bool:
        """Say whether a password is the one kept; one that nobody can have costs no work."""
        typed = _composed(password)
        if len(typed) > MOST or not _can_be_kept(typed):
            return False
        try:
            return self._argon.verify(kept, typed)
        except (VerificationError, InvalidHashError):
            return False

    def verify_nothing(self, password: str) -> bool:
        """Do the work of `verify` for a name that nobody has, and say no."""
        self.verify(self._dummy, password)
        return False


class Passwords:
    """Lets two hash at a time. Tests pass a cheaper argon2id and a shorter wait."""

    def __init__(
        self, argon: PasswordHasher | None = None, *, longest_wait_s: float = LONGEST_WAIT_S
    ) -> None:
        self._argon = argon or PasswordHasher()
        self._dummy = self._argon.hash(new_token())
        self._places = BoundedSemaphore(AT_ONCE)
        self._longest_wait_s = longest_wait_s

    @contextmanager
    def place(self) -> Iterator[Hasher]:
        """Give a place for hashing; keep no transaction open meanwhile.

        Raises:
            BusyError: none came free in time.
        """
        if not self._places.acquire(timeout=self._longest_wait_s):
            raise BusyError
        try:
            yield Hasher(self._argon, self._dummy)
        finally:
            self._places.release()


def _composed(password: str) -> str:
    return unicodedata.normalize("NFC", password)  # one keyboard writes é as one, another as two


def _can_be_kept(typed: str) -> bool:
    return not any(unicodedata.category(character) in ("Cc", "Cs") for character in typed)
