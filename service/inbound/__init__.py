"""What growers text back: read it, record it, answer it."""
