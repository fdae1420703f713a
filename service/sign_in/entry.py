"""The two steps of signing in: name and password, then a code.

Each step keeps its own short transactions and commits what it counted also when it refuses; no
transaction is open while a password is hashed.
"""

import json
from dataclasses import dataclass
from datetime import datetime

from service.errors import ServiceError
from service.records.engine import Session, Sessions
from service.records.sign_in_tries import failures_of
from service.records.staff import StaffRow
from service.records.staff_queries import staff_by_id, staff_named, take_step, use_code
from service.sign_in.codes import matching_step, recovery_hash
from service.sign_in.delays import WaitError, begin_try, strike_off, wait_s
from service.sign_in.links import TOTP
from service.sign_in.passwords import Passwords
from service.sign_in.secrets import Vault, VaultError
from service.sign_in.spans import HALFWAY_LIFE
from service.sign_in.staff import folded_name, may_be_name

CODES_A_PASSWORD = 5
HALFWAY = "halfway"


class SignInRefusedError(ServiceError):
    """A name or a password is wrong; the sentence does not say which."""

    def __init__(self) -> None:
        super().__init__("The name or the password is not right. Type both again.")


class CodeRefusedError(ServiceError):
    """A code is wrong or was used before."""

    def __init__(self) -> None:
        super().__init__(
            "This code is not right or was used already. Type the one that the app shows now, "
            "or a recovery code."
        )


class PasswordAgainError(ServiceError):
    """The password step has to be done again before a further code is tried."""

    def __init__(self) -> None:
        super().__init__("Begin again: type your name and your password, then a new code.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entrance:
    """What signing in works with; built once."""

    sessions: Sessions
    vault: Vault
    passwords: Passwords


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """What was typed, and the network address it came from."""

    name: str
    password: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Halfway:
    association_id: int
    staff_id: int
    turn: int
    passed_at: datetime


def check_password(entrance: Entrance, attempt: Attempt, *, now: datetime) -> str:
    """Return a sealed token for `check_code`, which may be kept in a cookie for ten minutes.

    An unknown name, a removed person and a wrong password are refused alike, after equal work.

    Raises:
        SignInRefusedError: the name or the password is wrong.
        WaitError: too many failures before; the try is not counted.
        BusyError: no place for hashing came free; the try is not counted.
    """
    name = folded_name(attempt.name)
    keys = _keys(entrance.vault, name, attempt.address)
    with entrance.passwords.place() as hasher:
        with entrance.sessions.begin() as session:
            wait = wait_s(session, keys, now=now)
            if wait == 0:
                begin_try(session, keys, now=now)
            staff = staff_named(session, name) if may_be_name(name) else None
        if wait > 0:
            raise WaitError(wait)
        if staff is None or staff.removed_at is not None or staff.password_hash is None:
            hasher.verify_nothing(attempt.password)
            raise SignInRefusedError
        if not hasher.verify(staff.password_hash, attempt.password):
            raise SignInRefusedError
    with entrance.sessions.begin() as session:
        strike_off(session, keys)
        failures = failures_of(session, _code_key(entrance.vault, staff.id))
    halfway = _Halfway(
        association_id=staff.association_id,
        staff_id=staff.id,
        turn=failures // CODES_A_PASSWORD,
        passed_at=now,
    )
    return _sealed(entrance.vault, halfway)


def check_code(entrance: Entrance, halfway_token: str, code: str, *, now: datetime) -> StaffRow:
    """Return who signed in; the code is one of the app's or a recovery code, and is used up.

    Raises:
        CodeRefusedError: the code is wrong or was used.
        PasswordAgainError: the token is no longer good: ten minutes passed, five codes were
            wrong since the password (an older token gives no further tries), or the person was
            removed.
        WaitError: too many wrong codes before; the try is not counted.
    """
    halfway = _opened(entrance.vault, halfway_token)
    if halfway.passed_at <= now - HALFWAY_LIFE:
        raise PasswordAgainError
    key = _code_key(entrance.vault, halfway.staff_id)
    with entrance.sessions.begin() as session:
        failures = failures_of(session, key)
        staff = staff_by_id(session, halfway.association_id, halfway.staff_id)
        good = failures // CODES_A_PASSWORD == halfway.turn and staff.totp_sealed is not None
        wait = wait_s(session, [key], now=now)
        if good and wait == 0:
            failures = begin_try(session, [key], now=now)
    if not good:
        raise PasswordAgainError
    if wait > 0:
        raise WaitError(wait)
    with entrance.sessions.begin() as session:
        fits = _use_up(session, entrance.vault, staff, code, now=now)
        if fits:
            strike_off(session, [key])
    if fits:
        return staff
    raise PasswordAgainError if failures % CODES_A_PASSWORD == 0 else CodeRefusedError


def _use_up(session: Session, vault: Vault, staff: StaffRow, code: str, *, now: datetime) -> bool:
    tenant = staff.association_id
    recovery = recovery_hash(code)
    if recovery is not None:
        return use_code(session, tenant, staff.id, code_hash=recovery, now=now)
    secret = vault.open(TOTP, staff.totp_sealed or "")
    step = matching_step(secret, code, last_step=staff.totp_step, now=now)
    return step is not None and take_step(session, tenant, staff.id, step=step)


def _keys(vault: Vault, name: str, address: str) -> list[str]:
    return [vault.mark("name", f"{name}\0{address}"), vault.mark("address", address)]


def _code_key(vault: Vault, staff_id: int) -> str:
    return vault.mark("code", str(staff_id))


def _sealed(vault: Vault, halfway: _Halfway) -> str:
    return vault.seal(
        HALFWAY,
        json.dumps(
            [
                halfway.association_id,
                halfway.staff_id,
                halfway.turn,
                halfway.passed_at.isoformat(),
            ]
        ),
    )


def _opened(vault: Vault, token: str) -> _Halfway:
    try:
        association_id, staff_id, turn, passed_at = json.loads(vault.open(HALFWAY, token))
    except (VaultError, ValueError) as error:
        raise PasswordAgainError from error
    return _Halfway(
        association_id=association_id,
        staff_id=staff_id,
        turn=turn,
        passed_at=datetime.fromisoformat(passed_at),
    )
