"""What a database may raise when it is away, busy or full."""

from sqlalchemy.exc import DBAPIError, OperationalError

STORE_FAULTS = (OperationalError, DBAPIError)
