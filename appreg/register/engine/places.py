"""Where registers are kept."""

from pathlib import Path

from msgspec import Struct


class ServerPlace(Struct, frozen=True):
    """Where a register in a database is."""

    address: str
    """As libpq takes it, without a password: postgresql://…"""
    beside: Path
    """Stands for the register where something is kept beside it, say its copies."""

    def __str__(self) -> str:
        """As sentences name it."""
        return self.address


Place = Path | ServerPlace
"""Where a register is kept: a file, or a database."""
