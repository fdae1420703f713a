"""The queue of texts: the only code that changes a message's state."""
