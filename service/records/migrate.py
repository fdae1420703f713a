"""Bring a database to this version's tables; refuse one that is newer."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine

from service.errors import ServiceError

MIGRATIONS = Path(__file__).parent / "migrations"


class DatabaseVersionError(ServiceError):
    """The database's tables are not those of this version."""


def upgrade(engine: Engine) -> None:
    """Bring the tables to this version, from any earlier one or from nothing.

    Raises:
        DatabaseVersionError: the database was written by a newer version.
    """
    _refuse_newer(engine)
    command.upgrade(_config(engine), "head")


def downgrade(engine: Engine, revision: str) -> None:
    """Take the tables back to an earlier revision (`base` for none)."""
    command.downgrade(_config(engine), revision)


def check_version(engine: Engine) -> None:
    """Check that the tables are exactly this version's.

    Raises:
        DatabaseVersionError: they are older or newer; the sentence says what to do.
    """
    _refuse_newer(engine)
    if current_revision(engine) != _script(engine).get_current_head():
        raise DatabaseVersionError(
            "The database is older than this program. Back it up, then run `furrowbell migrate`."
        )


def current_revision(engine: Engine) -> str | None:
    """Return the revision that a database stands at; None for an empty one."""
    with engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def _refuse_newer(engine: Engine) -> None:
    found = current_revision(engine)
    if found is None:
        return
    known = {revision.revision for revision in _script(engine).walk_revisions()}
    if found not in known:
        raise DatabaseVersionError(
            "The database was written by a newer version of Furrowbell. Install that version; "
            "nothing was changed."
        )


def _config(engine: Engine) -> Config:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["engine"] = engine
    return config


def _script(engine: Engine) -> ScriptDirectory:
    return ScriptDirectory.from_config(_config(engine))
