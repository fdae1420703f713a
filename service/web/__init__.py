"""The coordinator's pages."""
