"""The reminder service: from planting records to texts and back."""
