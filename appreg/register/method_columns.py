"""Migration 6, a frozen copy: how each finding was measured, and the instrument's check of the day on a visit."""

from typing import Final

STATEMENTS: Final = (
    "ALTER TABLE finding ADD COLUMN \"method\" TEXT NOT NULL DEFAULT '' CHECK (\"method\" = '' OR \"method\" GLOB '{*}')",
    "ALTER TABLE visit ADD COLUMN \"instrument_check\" TEXT NOT NULL DEFAULT ''",
)
"""In the order in which they run."""
