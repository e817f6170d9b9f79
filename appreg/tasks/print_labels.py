"""Print the labels that wait in the tray."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

from appreg.core.lean_dataclasses import dataclass, replace
from appreg.core.uids import Uid
from appreg.errors import NotFound
from appreg.files import refuse_place
from appreg.paper.label_stock import stock_by_id
from appreg.register.register_file import Register
from appreg.tasks.queue_labels import WaitingLabel, waiting_labels


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedLabels:
    """What was printed, and where the next sheet may start."""

    path: Path
    count: int
    sheets: int
    next_start: int
    """The first free place on the last sheet; 1: a new sheet."""
    missing_glyphs: tuple[str, ...]
    """Characters the typeface lacks, drawn as boxes."""


def print_labels(
    register: Register,
    who: str,
    *,
    out: Path,
    replace_file: bool = False,
    stock_id: str = "a4-24",
    start: int = 1,
    site: Uid | None = None,
    visit: Uid | None = None,
    with_next_date: bool = False,
    again: bool = False,
    today: date,
    progress: Callable[[int, int], bool] | None = None,
) -> PrintedLabels:
    """Write the sheets, then mark the labels printed; `again` prints those printed before as well.

    A file that is there already gives way only with `replace_file`.
    Raises NotFound where none waits, InputRefused for an unknown stock, a start off the sheet or a bad file.
    """
    refuse_place(out, replace=replace_file)
    from appreg.paper.label_sheet import write_label_sheet  # noqa: PLC0415 - drawing costs others dearly

    register.require_writable()  # or a sheet would be left whose labels wait on
    stock = stock_by_id(stock_id)
    labels = waiting_labels(register, site=site, visit=visit, printed_too=again)
    if not labels:
        raise NotFound(
            "No label waits to be printed; record an inspection, queue labels, or ask for printed ones again."
        )
    summary = write_label_sheet(
        (each.text(with_next_date=with_next_date) for each in labels),
        stock=stock,
        start=start,
        out=out,
        replace=replace_file,
        created=today,
        progress=progress,
    )
    _mark_printed(register, who, labels, today)
    return PrintedLabels(
        path=out,
        count=summary.count,
        sheets=summary.sheets,
        next_start=summary.next_start,
        missing_glyphs=tuple(summary.missing_glyphs),
    )


def _mark_printed(register: Register, who: str, labels: tuple[WaitingLabel, ...], today: date) -> None:
    with register.change(who) as change:
        for each in labels:
            if each.queued.printed_on is None:
                change.put(replace(each.queued, printed_on=today))
