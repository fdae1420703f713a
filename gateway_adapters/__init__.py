"""The wire: what sends and receives texts. Knows nothing of the service."""
