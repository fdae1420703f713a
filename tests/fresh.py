"""A database with this version's tables, migrated once a run and copied for each test."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from service.records.engine import open_engine
from service.records.migrate import upgrade


def fresh_database(file: Path) -> None:
    """Put an empty database of this version at `file`, unless one is there already."""
    if not file.exists():
        file.write_bytes(_migrated())


@cache
def _migrated() -> bytes:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "template.db"
        engine = open_engine(f"sqlite:///{file}")
        upgrade(engine)
        engine.dispose()  # the last connection to go folds the write-ahead log into the file
        return file.read_bytes()
