"""What is the same for every test and slow to make: an empty database, the checked texts."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from service.messages.catalogue import Catalogue
from service.records.engine import open_engine
from service.records.migrate import upgrade

TEXTS = Path(__file__).parent.parent / "locales"


@cache
def shipped_texts() -> Catalogue:
    """Return the catalogue that is shipped, loaded and checked once a run."""
    return Catalogue.load(TEXTS)


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
