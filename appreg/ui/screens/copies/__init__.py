"""The kept copies of the register."""
