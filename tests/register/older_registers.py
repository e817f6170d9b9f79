"""Registers as earlier versions of the program wrote them, kept as files: what is written today cannot stand for them."""

import gzip
from pathlib import Path

FIRST = "first"
"""After migration 1: the invented records of sample_register, no inspections."""
THIRD = "third"
"""After migration 3: a pump and a desk lamp from their categories, each inspected and passed, the pump at 0.28 Ω."""

SIXTH = "sixth"
"""After migration 6, half-filled benches in the journal: a lamp kept, a toaster begun at 0.12 Ω, then a kettle at 0.09 Ω."""
JUDGED = tuple(f"judged-{step}" for step in range(1, 18))
"""After each migration in turn, by the version of the program that ended with it.

One visit to eight items: passed, failed and retested, incomplete, corrected, looked at only, `OL`, a lead with an RCD,
leakage in place of insulation. Beside each stands the text of the site's register as that version printed it.
Those of steps 12 to 17 are that of the step before as the next version took it over, and printed it.
"""
WITH_DRAFTS = tuple(f"judged-{step}" for step in range(9, 18))
"""Of those, with two half-filled benches: in the journal still, and from then on outside it."""


def older_register(name: str, folder: Path) -> Path:
    """Put one of them into a folder."""
    path = folder / f"{name}.appreg"
    path.write_bytes(gzip.decompress((Path(__file__).parent / "older" / f"{name}.appreg.gz").read_bytes()))
    return path


def older_lines(folder: Path) -> Path:
    """The invented register of sample_register as the version that ended with step 16 exported it."""
    path = folder / "lines-16.jsonl"
    path.write_bytes(gzip.decompress((Path(__file__).parent / "older" / f"{path.name}.gz").read_bytes()))
    return path


def printed_then(name: str) -> list[str]:
    """The lines of the site's register as the version that wrote an older register printed them."""
    packed = (Path(__file__).parent / "older" / f"{name}.printed.gz").read_bytes()
    return gzip.decompress(packed).decode().splitlines()
