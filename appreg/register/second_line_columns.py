"""Migration 7, a frozen copy: metal that is not earthed, functional earths, and which facts were measured."""

from typing import Final

_FLAG: Final = "INTEGER NOT NULL DEFAULT 0 CHECK"

STATEMENTS: Final = (
    "ALTER TABLE appliance ADD COLUMN \"measured\" TEXT NOT NULL DEFAULT '[]' CHECK (\"measured\" GLOB '[[]*]')",
    f'ALTER TABLE appliance ADD COLUMN "unearthed_metal" {_FLAG} ("unearthed_metal" IN (0, 1))',
    f'ALTER TABLE appliance ADD COLUMN "functional_earth" {_FLAG} ("functional_earth" IN (0, 1))',
    f'ALTER TABLE category ADD COLUMN "unearthed_metal" {_FLAG} ("unearthed_metal" IN (0, 1))',
    f'ALTER TABLE category ADD COLUMN "functional_earth" {_FLAG} ("functional_earth" IN (0, 1))',
)
"""In the order in which they run."""
