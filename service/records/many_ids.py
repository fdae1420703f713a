"""Statements about rows of many ids, built once, whatever the number of ids."""

import json
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Executable,
    Integer,
    String,
    any_,
    bindparam,
    cast,
    func,
    select,
)
from sqlalchemy.dialects.postgresql import ARRAY
from sqlalchemy.orm import InstrumentedAttribute

from service.records.engine import Session

OneOf = Callable[[InstrumentedAttribute[Any]], ColumnElement[bool]]


def of_tenant(column: InstrumentedAttribute[int]) -> ColumnElement[bool]:
    """Return the condition that a row, which its id has found already, is the tenant's.

    The sum keeps the database from walking through all rows of the tenant in place of the ids:
    SQLite, which knows nothing of how many there are, takes a tenant for small.
    """
    return column + 0 == bindparam("association_id", type_=Integer())


class Question:
    """A question about some rows; `make` is given the condition that a column holds one of the ids.

    Building a statement anew takes longer than asking it. PostgreSQL gets the ids as one array,
    SQLite as one JSON list, so that the statement is the same for any number of them.
    """

    def __init__(self, make: Callable[[OneOf], Executable]) -> None:
        self._by_kind = {"postgresql": make(_one_of_array), "sqlite": make(_one_of_json)}

    def ask(
        self, session: Session, ids: Collection[int], values: Mapping[str, object]
    ) -> Sequence[Any]:
        """Return the rows, each a tuple of the columns asked for."""
        connection = session.connection()
        kind = connection.dialect.name
        given = json.dumps(list(ids))
        if kind == "postgresql":
            given = f"{{{given[1:-1]}}}"
        return connection.execute(self._by_kind[kind], {"ids": given, **values}).all()


def _one_of_array(column: InstrumentedAttribute[Any]) -> ColumnElement[bool]:
    return column == any_(cast(bindparam("ids", type_=String()), ARRAY(Integer)))


def _one_of_json(column: InstrumentedAttribute[Any]) -> ColumnElement[bool]:
    each = func.json_each(bindparam("ids", type_=String())).table_valued("value")
    return column.in_(select(each.c.value))
