"""Tokens, and what is done with the secret key of the settings."""

import hmac
import secrets
from base64 import urlsafe_b64encode
from hashlib import sha256

from cryptography.fernet import Fernet, InvalidToken
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from service.errors import ServiceError

TOKEN_BYTES = 32
LEAST_KEY_BYTES = 32
_DERIVED_BYTES = 32


class VaultError(ServiceError):
    """What was sealed does not open: another secret key was in use, or it was changed."""

    def __init__(self) -> None:
        super().__init__(
            "What was sealed does not open with this secret key; put back the key that was in "
            "use before."
        )


def new_token() -> str:
    """Return 256 random bits that may stand in an address."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def token_hash(token: str) -> str:
    """Return what is kept of a token: its SHA-256, in hexadecimal."""
    # a cookie may hold anything, also what UTF-8 cannot write
    return sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


class Vault:
    """Seals what must be read again, and marks what must only be known again.

    Each use has a key of its own, derived from the secret key.

    Raises:
        ValueError: the key is shorter than 32 bytes.
    """

    def __init__(self, key: bytes) -> None:
        if len(key) < LEAST_KEY_BYTES:
            raise ValueError("a secret key has at least 32 bytes")
        self._fernet = Fernet(urlsafe_b64encode(_derived(key, b"furrowbell: seal")))
        self._marking = _derived(key, b"furrowbell: mark")

    def seal(self, kind: str, text: str) -> str:
        """Return the text so that only this key reads it, and only as this kind of thing."""
        return self._fernet.encrypt(f"{kind}\0{text}".encode()).decode("ascii")

    def open(self, kind: str, sealed: str) -> str:
        """Return what was sealed as this kind of thing.

        Raises:
            VaultError: the key or the kind does not fit, or a character was changed.
        """
        try:
            opened = self._fernet.decrypt(sealed.encode("utf-8", "surrogatepass")).decode()
        except InvalidToken as error:
            raise VaultError from error
        found, _, text = opened.partition("\0")
        if found != kind:
            raise VaultError
        return text

    def mark(self, kind: str, value: str) -> str:
        """Return a keyed hash of a value, the same each time, at most 80 characters long."""
        message = f"{kind}\0{value}".encode("utf-8", "surrogatepass")
        return f"{kind}:{hmac.new(self._marking, message, sha256).hexdigest()}"


def _derived(key: bytes, use: bytes) -> bytes:
    return HKDF(algorithm=SHA256(), length=_DERIVED_BYTES, salt=None, info=use).derive(key)
