"""The sentences of the label tray."""

from appreg.core.text import shown
from appreg.paper.label_layout import sheets_needed
from appreg.paper.label_stock import Stock
from appreg.tasks.print_labels import PrintedLabels

FULL_SIZE = "Print at full size: fitting to the page moves every label."


def plural(count: int, one: str, many: str) -> str:
    """Count in words: '1 sheet', '3 sheets'."""
    return f"{count} {one if count == 1 else many}"


def labels(count: int) -> str:
    """Count labels."""
    return plural(count, "label", "labels")


def order_words(count: int, stock: Stock, start: int, *, with_next_date: bool, site_name: str) -> tuple[str, str, str]:
    """Three lines: the stock, how much goes where, and what stands on the labels."""
    sheets = plural(sheets_needed(stock, count, start), "sheet", "sheets")
    return (
        stock.title,
        f"{labels(count)} from place {start} · {sheets}",
        f"next date {'shown' if with_next_date else 'not shown'} · {shown(site_name)}",
    )


def printed_words(printed: PrintedLabels) -> str:
    """What was printed, where it is, and where the next sheet starts."""
    where = f"{labels(printed.count)} on {plural(printed.sheets, 'sheet', 'sheets')}: {printed.path}."
    return f"{where} The next label goes to place {printed.next_start}."


def glyph_words(printed: PrintedLabels) -> str:
    """Which characters were drawn as boxes; empty: none."""
    if not printed.missing_glyphs:
        return ""
    return f"The typeface lacks {' '.join(printed.missing_glyphs)}: drawn as boxes, check those labels."
