"""The tables grow step by step to what the models say, and back; a newer database is refused."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Engine, inspect, text

from service.records.base import Base
from service.records.engine import open_engine
from service.records.migrate import (
    MIGRATIONS,
    DatabaseVersionError,
    check_version,
    current_revision,
    downgrade,
    upgrade,
)
from service.records.people import AssociationRow
from tests.fresh import forget_database, fresh_database, no_tables

REVISIONS = sorted(path.stem.split("_")[0] for path in (MIGRATIONS / "versions").glob("v*.py"))


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    """An engine on a database that has no tables yet."""
    made = open_engine(no_tables(tmp_path))
    yield made
    made.dispose()
    forget_database(tmp_path)


def tables(engine: Engine) -> set[str]:
    return set(inspect(engine).get_table_names()) - {"alembic_version"}


def differences(engine: Engine) -> list[object]:
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        return list(compare_metadata(context, AssociationRow.metadata))


def checks(engine: Engine, table: str) -> set[str]:
    return {str(check["name"]) for check in inspect(engine).get_check_constraints(table)}


def put_at(engine: Engine, revision: str) -> None:
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = :r"), {"r": revision})


def test_from_nothing_the_tables_become_those_of_the_models(engine: Engine) -> None:
    upgrade(engine)

    assert differences(engine) == []
    assert tables(engine) == set(Base.metadata.tables)
    check_version(engine)


def test_the_values_of_every_enumeration_are_checked_by_the_tables(engine: Engine) -> None:
    """Compared by name: alembic itself does not look at checks."""
    upgrade(engine)

    made = {name: checks(engine, name) for name in Base.metadata.tables}

    assert made == {
        name: {str(check.name) for check in table.constraints if str(check.name).startswith("ck_")}
        for name, table in Base.metadata.tables.items()
    }
    assert made["dose"] == {"ck_dose_dosestate"}


def test_every_step_goes_back_and_forth_again(engine: Engine) -> None:
    upgrade(engine)
    full = tables(engine)
    seen = [len(full)]

    for revision in [*reversed(REVISIONS[:-1]), "base"]:
        downgrade(engine, revision)
        seen.append(len(tables(engine)))
    upgrade(engine)

    assert seen == sorted(seen, reverse=True)
    assert seen[-1] == 0
    assert (tables(engine), differences(engine)) == (full, [])


def test_bringing_a_database_up_to_date_twice_changes_nothing(engine: Engine) -> None:
    upgrade(engine)
    first = current_revision(engine)
    upgrade(engine)

    assert (first, current_revision(engine)) == (REVISIONS[-1], REVISIONS[-1])


def test_a_database_of_a_newer_version_is_refused_and_left_alone(tmp_path: Path) -> None:
    engine = open_engine(fresh_database(tmp_path))
    put_at(engine, "v9999")

    for refused in (upgrade, check_version):
        with pytest.raises(DatabaseVersionError, match="newer version of Furrowbell") as caught:
            refused(engine)
        assert caught.value.sentence.endswith("nothing was changed.")

    assert current_revision(engine) == "v9999"
    engine.dispose()
    forget_database(tmp_path)


@pytest.mark.parametrize("revision", REVISIONS[:-1])
def test_an_older_database_is_not_run_on_but_migrated(engine: Engine, revision: str) -> None:
    upgrade(engine)
    downgrade(engine, revision)

    with pytest.raises(DatabaseVersionError, match="Back it up, then run `furrowbell migrate`"):
        check_version(engine)

    upgrade(engine)
    check_version(engine)


def test_a_file_without_tables_is_older_too(engine: Engine) -> None:
    with pytest.raises(DatabaseVersionError, match="older"):
        check_version(engine)
    assert current_revision(engine) is None
