"""Registers as earlier versions of the program wrote them, kept as files: what is written today cannot stand for them."""

import gzip
from pathlib import Path

FIRST = "first"
"""After migration 1: the invented records of sample_register, no inspections."""
THIRD = "third"
"""After migration 3: a pump and a desk lamp from their categories, each inspected and passed, the pump at 0.28 Ω."""

SIXTH = "sixth"
"""After migration 6, half-filled benches in the journal: a lamp kept, a toaster begun at 0.12 Ω, then a kettle at 0.09 Ω."""


def older_register(name: str, folder: Path) -> Path:
    """Put one of them into a folder."""
    path = folder / f"{name}.appreg"
    path.write_bytes(gzip.decompress((Path(__file__).parent / "older" / f"{name}.appreg.gz").read_bytes()))
    return path
