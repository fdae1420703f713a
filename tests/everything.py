"""All that a database holds, to see whether something changed."""

from sqlalchemy import Engine, MetaData, select


def everything(engine: Engine) -> dict[str, list[tuple[object, ...]]]:
    """Return the rows of each table, in the order of its key."""
    tables = MetaData()
    tables.reflect(engine)
    with engine.connect().execution_options(read_only=True) as connection:
        return {
            table.name: [
                tuple(row)
                for row in connection.execute(select(table).order_by(*table.primary_key.columns))
            ]
            for table in tables.sorted_tables
        }
