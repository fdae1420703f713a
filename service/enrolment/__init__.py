"""A household taken in at the table: people, phone, ground, crop and can, each when known."""
