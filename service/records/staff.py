"""Tables of the staff, their way in, and the forms they sent."""

from datetime import datetime
from enum import StrEnum

from sqlalchemy import ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.records.base import Base


class Role(StrEnum):
    """What a member of staff may do."""

    COORDINATOR = "coordinator"
    ADMIN = "admin"


class StaffRow(Base):
    """A member of staff. `name` is what is typed at sign-in, `shown` what others see."""

    __tablename__ = "staff"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    name: Mapped[str] = mapped_column(String(40), unique=True)
    shown: Mapped[str] = mapped_column(String(60))
    role: Mapped[Role]
    language: Mapped[str] = mapped_column(String(12))
    password_hash: Mapped[str | None] = mapped_column(String(200))
    totp_sealed: Mapped[str | None] = mapped_column(String(300))
    totp_step: Mapped[int | None]  # the last one used: a code counts once
    recorded_at: Mapped[datetime]
    removed_at: Mapped[datetime | None]


class StaffLinkRow(Base):
    """A one-time link to choose a password; only the hash of its token is kept."""

    __tablename__ = "staff_link"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    staff_id: Mapped[int] = mapped_column(ForeignKey("staff.id"), index=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    recorded_at: Mapped[datetime]


class StaffCodeRow(Base):
    """A recovery code for a lost second factor; only its hash is kept."""

    __tablename__ = "staff_code"
    __table_args__ = (UniqueConstraint("staff_id", "code_hash"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    staff_id: Mapped[int] = mapped_column(ForeignKey("staff.id"), index=True)
    code_hash: Mapped[str] = mapped_column(String(64))
    used_at: Mapped[datetime | None]
    recorded_at: Mapped[datetime]


class StaffSessionRow(Base):
    """A signed-in browser; only the hash of its token is kept."""

    __tablename__ = "staff_session"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    staff_id: Mapped[int] = mapped_column(ForeignKey("staff.id"), index=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    opened_at: Mapped[datetime]
    seen_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]


class SignInTryRow(Base):
    """Failed sign-ins for a name or an address, as a hash; belongs to no association yet."""

    __tablename__ = "sign_in_try"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(80), unique=True)
    failures: Mapped[int]
    wait_until: Mapped[datetime]


class FormPostRow(Base):
    """A form that was saved: the same one sent again has no second effect."""

    __tablename__ = "form_post"
    __table_args__ = (UniqueConstraint("association_id", "key"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    staff_id: Mapped[int] = mapped_column(ForeignKey("staff.id"))
    key: Mapped[str] = mapped_column(String(64))
    location: Mapped[str] = mapped_column(String(200))
    at: Mapped[datetime]
