"""Migration 7, a frozen copy: the firm of whoever tests, and the colour of the period on a visit."""

from typing import Final

STATEMENTS: Final = (
    "ALTER TABLE person ADD COLUMN \"firm\" TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE visit ADD COLUMN \"period_colour\" TEXT NOT NULL DEFAULT ''",
)
"""In the order in which they run."""
