"""The paper that a file of ours is drawn on, as a printer's queue is told it."""

import re
from pathlib import Path
from typing import Final

from appreg.given_files import read_bytes
from appreg.paper.page.type_sizes import MM_A_POINT

_BOX: Final = re.compile(rb"/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]")
_NAMED: Final = {(148, 210): "A5", (210, 297): "A4", (297, 420): "A3"}
"""ISO 216 (published), by width and height in mm."""
_MOST_BYTES: Final = 500_000_000


def paper_of(file: Path) -> str:
    """A4, or Custom.57x32mm as PWG 5101.1 has sizes without a name; empty where the file says none.

    Sheets that lie are named as those that stand: queues turn them. Raises InputRefused where the file cannot be read.
    """
    found = _BOX.search(read_bytes(file, what="file to print", most_bytes=_MOST_BYTES))
    if found is None:
        return ""
    width, height = (float(side) * MM_A_POINT for side in found.groups())
    named = _NAMED.get((round(min(width, height)), round(max(width, height))))
    return named or f"Custom.{_shortly(width)}x{_shortly(height)}mm"


def _shortly(length: float) -> str:
    return f"{length:.1f}".removesuffix(".0")
