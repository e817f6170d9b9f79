"""Print a page that shows how far a printer lays its labels beside where they belong."""

from datetime import date
from pathlib import Path

from appreg.core.values.print_offsets import UNMOVED, Offset
from appreg.files import refuse_place
from appreg.paper.labels.label_stock import Stock


def print_calibration(
    stock: Stock, *, out: Path, replace: bool = False, printer: str = "", offset: Offset = UNMOVED, today: date
) -> None:
    """Write the page, moved as the labels of that printer are; raises InputRefused for a bad file."""
    refuse_place(out, replace=replace)
    from appreg.paper.labels.calibration_page import write_calibration  # noqa: PLC0415 - drawing costs others dearly

    write_calibration(stock, out=out, replace=replace, created=today, printer=printer, offset=offset)
