"""An association's records, read from plain files."""
