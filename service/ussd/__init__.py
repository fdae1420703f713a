"""The menu that a phone dials: the acts of the reply codes, step by step."""
