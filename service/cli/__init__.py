"""The commands of the console script."""
