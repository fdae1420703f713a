"""The database: engine, tables, queries, migrations."""
