"""From facts to doses, and from doses to the texts of the next 48 hours."""
