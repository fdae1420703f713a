"""A database that answers and takes nothing in is not well."""

from contextlib import ExitStack
from pathlib import Path

from sqlalchemy import event

from service.cli.check_database import write_findings
from service.records.engine import Sessions, open_engine
from tests.faults.disks import read_only
from tests.fresh import forget_database, fresh_database, on_postgresql
from tests.unit.cli.asking import faults


def test_a_database_that_can_be_written_is_well_and_one_that_cannot_is_not(tmp_path: Path) -> None:
    url = fresh_database(tmp_path)
    writing, reading = (Sessions(open_engine(url)) for _ in range(2))
    with ExitStack() as stack:
        if on_postgresql():
            event.listen(reading.engine, "connect", only_read)
        well = write_findings(writing)
        if not on_postgresql():
            stack.enter_context(read_only(tmp_path))
        wrong = write_findings(reading)
    writing.engine.dispose()
    reading.engine.dispose()
    forget_database(tmp_path)

    assert (faults(well), len(well)) == ([], 1)
    assert [sentence.split(":")[0] for sentence in faults(wrong)] == [
        "The database can be read and not written"
    ]


def only_read(connection: object, _record: object) -> None:
    with connection.cursor() as cursor:  # type: ignore[attr-defined]  # -- the driver's own
        cursor.execute("SET default_transaction_read_only = on")
    connection.commit()  # type: ignore[attr-defined]  # -- the same
