"""What a database may raise when it is away, busy or full, or has no such row."""

from sqlalchemy.exc import DBAPIError, NoResultFound, OperationalError

STORE_FAULTS = (OperationalError, DBAPIError)
NO_SUCH_ROW = NoResultFound
