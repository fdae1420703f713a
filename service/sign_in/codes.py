"""The second factor: codes of an app (RFC 6238, 30 seconds, six digits) and recovery codes."""

import hmac
import re
import secrets
from base64 import b32encode
from datetime import datetime

from pyotp import HOTP, TOTP, random_base32

from service.sign_in.secrets import token_hash

ISSUER = "Furrowbell"
STEP_S = 30
STEPS_ASIDE = 1  # a poor clock may be a step early or late
RECOVERY_CODES = 10
_RECOVERY_BYTES = 10  # 80 bits
_GROUP = 4
_SIX_DIGITS = re.compile(r"[0-9]{6}")  # not \d, which takes the digits of every script
_RECOVERY = re.compile(r"[A-Z2-7]{16}")
_MISREAD = str.maketrans("018", "OIB")  # the code has none of these digits


def new_totp_secret() -> str:
    """Return a secret of 160 bits for an app, in base32."""
    return random_base32()


def totp_address(secret: str, name: str) -> str:
    """Return the address that an app takes a secret from."""
    return TOTP(secret).provisioning_uri(name=name, issuer_name=ISSUER)


def matching_step(secret: str, code: str, *, last_step: int | None, now: datetime) -> int | None:
    """Return the step whose code was typed, or None.

    A step is a count of 30 seconds. It matches one step early or late, and only after the last
    one used: a code that was seen on the way counts no second time.
    """
    typed = _without_blanks(code)
    if not _SIX_DIGITS.fullmatch(typed):
        return None
    current = int(now.timestamp()) // STEP_S
    generator = HOTP(secret)
    for step in range(current - STEPS_ASIDE, current + STEPS_ASIDE + 1):
        fits = hmac.compare_digest(generator.at(step).encode(), typed.encode())
        if fits and (last_step is None or step > last_step):
            return step
    return None


def new_recovery_codes() -> tuple[str, ...]:
    """Return ten codes of 80 bits, in groups of four to be written down."""
    return tuple(_grouped(secrets.token_bytes(_RECOVERY_BYTES)) for _ in range(RECOVERY_CODES))


def recovery_hash(typed: str) -> str | None:
    """Return the hash of a recovery code however it is spaced, or None where it cannot be one."""
    code = _without_blanks(typed).replace("-", "").upper().translate(_MISREAD)
    return token_hash(code) if _RECOVERY.fullmatch(code) else None


def _grouped(random: bytes) -> str:
    code = b32encode(random).decode("ascii")
    return "-".join(code[at : at + _GROUP] for at in range(0, len(code), _GROUP))


def _without_blanks(typed: str) -> str:
    return "".join(typed.split())
