"""SMPP 3.4: texts through a message centre over TCP."""
