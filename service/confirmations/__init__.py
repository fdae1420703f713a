"""The one place where a report becomes a fact, whoever makes it."""
