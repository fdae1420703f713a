"""Failed tries to sign in, under keyed hashes; they belong to no association yet."""

from collections.abc import Collection
from datetime import datetime

from sqlalchemy import delete, select, update

from service.records.engine import Session
from service.records.once import insert_once
from service.records.staff import SignInTryRow


def waits(session: Session, keys: Collection[str]) -> list[datetime]:
    """Return until when these keys have to wait."""
    return list(session.scalars(select(SignInTryRow.wait_until).where(SignInTryRow.key.in_(keys))))


def failures_of(session: Session, key: str) -> int:
    """Return how many tries failed in a row under a key."""
    return (
        session.scalars(select(SignInTryRow.failures).where(SignInTryRow.key == key)).one_or_none()
        or 0
    )


def count_try(session: Session, key: str, *, now: datetime) -> int:
    """Count one more failed try and return how many there are."""
    insert_once(session, SignInTryRow, {"key": key, "failures": 0, "wait_until": now})
    return session.scalars(
        update(SignInTryRow)
        .where(SignInTryRow.key == key)
        .values(failures=SignInTryRow.failures + 1)
        .returning(SignInTryRow.failures)
        .execution_options(synchronize_session=False)
    ).one()


def set_wait(session: Session, key: str, *, until: datetime) -> None:
    """Let the next try under a key wait until an instant."""
    session.execute(update(SignInTryRow).where(SignInTryRow.key == key).values(wait_until=until))


def clear_tries(session: Session, keys: Collection[str]) -> None:
    """Forget the failures under these keys."""
    session.execute(delete(SignInTryRow).where(SignInTryRow.key.in_(keys)))


def drop_tries_before(session: Session, before: datetime) -> None:
    """Forget the keys whose wait ended before an instant."""
    session.execute(delete(SignInTryRow).where(SignInTryRow.wait_until < before))
