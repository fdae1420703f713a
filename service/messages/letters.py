"""The letters that plots are told apart by."""

LETTERS = ("A", "D", "G", "J", "M", "P", "T", "W")  # the first letter of each key, 2 to 9
