"""The sentences and columns of the label tray."""

from collections.abc import Sequence
from typing import Final

from appreg.core.records.kept_records import LabelKind
from appreg.core.values.text import shown
from appreg.paper.labels.label_layout import Start, has_free, sheets_needed
from appreg.paper.labels.label_stock import Stock
from appreg.tasks.documents.print_labels import PrintedLabels
from appreg.tasks.standing.queue_labels import WaitingLabel
from appreg.ui.lists.table_columns import FieldColumn, Tone, date_column, tag_column

FULL_SIZE = "Print at full size: fitting to the page moves every label. Each site begins a new sheet."

NONE_FREE: Final = "· no place of the first sheet is free"
COUNTED = "They count as printed once the printer's queue took them; spoiled ones wait again from the list of what was printed."


def plural(count: int, one: str, many: str) -> str:
    """Count in words: '1 sheet', '3 sheets'."""
    return f"{count} {one if count == 1 else many}"


def labels(count: int) -> str:
    """Count labels."""
    return plural(count, "label", "labels")


def order_words(
    counts: Sequence[int], stock: Stock, start: Start, *, with_next_date: bool, site_name: str
) -> tuple[str, str, str]:
    """Three lines: the stock, how much goes where, and what stands on the labels."""
    where = NONE_FREE
    if has_free(stock, start):
        holes = len([place for place in start.used if place > start.at])
        but = f", {plural(holes, 'place', 'places')} after it used" if holes else ""
        where = f"from place {start.at}{but} · {plural(sheets_needed(stock, counts, start), 'sheet', 'sheets')}"
    return (
        stock.title,
        f"{labels(sum(counts))} {where}",
        f"next date {'shown' if with_next_date else 'not shown'} · {shown(site_name)}",
    )


def printed_words(printed: PrintedLabels) -> str:
    """What was written, where it is, and where the next sheet starts."""
    where = f"{labels(printed.count)} on {plural(printed.sheets, 'sheet', 'sheets')}: {printed.path}."
    return f"{where} The next label goes to place {printed.next_start}."


def glyph_words(printed: PrintedLabels) -> str:
    """Which characters were drawn as boxes; empty: none."""
    if not printed.missing_glyphs:
        return ""
    return f"The typeface lacks {' '.join(printed.missing_glyphs)}: drawn as boxes, check those labels."


LEFT_OUT: Final = "left out"
"""Stands for the kind of a label that is not printed as things stand."""


def kind_tone(words: str) -> Tone:
    """Do not use is bad news, pass good; what is not printed is doubtful."""
    if words == LEFT_OUT:
        return Tone.WARN
    return Tone.BAD if words == LabelKind.DO_NOT_USE.value else Tone.GOOD


def key_of(label: WaitingLabel) -> str:
    """Name a label."""
    return label.queued.uid


TRAY_COLUMNS: Final[tuple[FieldColumn[WaitingLabel], ...]] = (
    tag_column(lambda label: label.appliance.tag),
    FieldColumn(
        key="kind",
        title="label",
        min_width=10,
        tone=kind_tone,
        text=lambda label: LEFT_OUT if label.untrue else label.queued.kind.value,
    ),
    FieldColumn(
        key="item", title="item", min_width=12, max_width=24, priority=1, text=lambda label: label.appliance.name
    ),
    FieldColumn(key="site", title="site", min_width=12, max_width=24, priority=2, text=lambda label: label.site.name),
    date_column("on", "inspected", lambda label: label.on, priority=3),
)
