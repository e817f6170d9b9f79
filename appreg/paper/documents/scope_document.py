"""A scope of work as a PDF file: places and access, counts, then every item; without prices."""

from collections.abc import Sequence
from itertools import groupby
from pathlib import Path
from typing import Final

from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.document_title import PageTitle, put_title
from appreg.paper.documents.item_rows import GUTTER, HEAD, NAME, SMALL, STRONG, TAG, TEXT
from appreg.paper.documents.item_words import check_words
from appreg.paper.page.document_parts import put_counts, put_paragraphs, put_section
from appreg.paper.page.page_canvas import Ink, PageCanvas, tell_drawn
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, beside, stacked
from appreg.progress import Progress
from appreg.schedule.scope_of_work import ScopeItem, ScopeOfWork, ScopeSite

_WIDE, _HIGH = 210.0, 297.0
_ITEM_WIDTHS: Final = (24.0, 50.0, 37.0, 44.0, 22.0)
"""Tag, item, where, what is wanted, minutes and day; mm, gutters included."""
_COUNT_WIDTHS: Final = (59.0, 52.0, 34.0, 16.0, 16.0)
"""Site, class and type, what is wanted, items, minutes; mm."""
WORK_WORDS: Final = {InspectionKind.VISUAL: "visual inspection", InspectionKind.COMBINED: "inspection and test"}


def write_scope_document(
    scope: ScopeOfWork, out: Path, progress: Progress | None = None, *, replace: bool = False
) -> DocumentSummary:
    """Write the scope; a file that is there gives way only with `replace`.

    Raises Stopped, and InputRefused where the file cannot be written.
    """
    title = scope.sites[0].name if len(scope.sites) == 1 else counted(len(scope.sites), "site")
    canvas = PageCanvas(title=f"Scope of work, {title}", created=scope.made_on, width=_WIDE, height=_HIGH)
    with canvas:
        made_on = date_words(scope.made_on)
        flow = PageFlow(canvas, running=f"{title} · scope of work", footer=f"{title} · made on {made_on}")
        _put_front(flow, scope, title)
        _put_places(flow, scope)
        _put_counts(flow, scope)
        _put_items(flow, scope, progress)
        flow.finish()
        canvas.save(out, replace=replace)
    return DocumentSummary(items=len(scope.items), pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)


def _put_front(flow: PageFlow, scope: ScopeOfWork, title: str) -> None:
    until = f"what falls due until {date_words(scope.until)}" if scope.until else "every item in service"
    put_title(flow, PageTitle(kind=f"Scope of work, {date_words(scope.made_on)}", title=title, subtitle=until), None)
    looks = sum(item.work is InspectionKind.VISUAL for item in scope.items)
    put_counts(
        flow,
        [
            (len(scope.items), "items"),
            (len(scope.items) - looks, "to be inspected and tested"),
            (looks, "to be looked at"),
            (scope.minutes, "minutes on site"),
        ],
    )


def _put_places(flow: PageFlow, scope: ScopeOfWork) -> None:
    put_section(flow, "Places and access")
    put_paragraphs(flow, [_place_words(site) for site in scope.sites])


def _place_words(site: ScopeSite) -> str:
    named = ", ".join(part for part in (site.name, site.address) if part)
    return f"{named} (for {site.client}): {'; '.join(site.access)}."


def _put_counts(flow: PageFlow, scope: ScopeOfWork) -> None:
    put_section(flow, "How many of what")
    flow.put_head(_heads(("site", "class and type", "wanted", "items", "minutes"), _COUNT_WIDTHS, flow.canvas))
    for count in scope.counts:
        kind = f"{count.appliance_class.label} · {count.equipment_type.label}"
        cells = (count.site, kind, WORK_WORDS[count.work], str(count.items), str(count.minutes))
        flow.put_row(
            _row([_text(cell, width, flow.canvas) for cell, width in _pairs(cells, _COUNT_WIDTHS)], _COUNT_WIDTHS)
        )
    flow.head = None
    checks = " · ".join(f"{check_words(check)} {items}" for check, items in scope.checks)
    left_out = " · ".join(f"{each.why} {each.items}" for each in scope.left_out)
    told = [f"Checks wanted, by items: {checks}.", f"Not in this scope, by items: {left_out}." if left_out else ""]
    put_paragraphs(flow, [each for each in told if each])


def _put_items(flow: PageFlow, scope: ScopeOfWork, progress: Progress | None) -> None:
    done = 0
    for site, items in groupby(scope.items, key=lambda item: item.site):
        own = list(items)
        put_section(flow, f"{site} ({counted(len(own), 'item')})", keep_with=40.0)
        flow.put_head(_heads(("tag", "item", "where", "wanted", "minutes, due"), _ITEM_WIDTHS, flow.canvas))
        for item in own:
            tell_drawn(progress, done, len(scope.items))
            flow.put_row(_row(_cells(item, flow.canvas), _ITEM_WIDTHS))
            done += 1
        flow.head = None
    tell_drawn(progress, done, len(scope.items))


def _cells(item: ScopeItem, canvas: PageCanvas) -> list[Block]:
    tag, thing, where, wanted, when = (width - GUTTER for width in _ITEM_WIDTHS)
    serial = f"serial {item.serial}" if item.serial else ""
    plate = " · ".join(part for part in (" ".join(each for each in (item.make, item.model) if each), serial) if part)
    kind = f"{item.appliance_class.label} · {item.equipment_type.label}"
    checks = ", ".join(check_words(check) for check in item.checks)
    due = f"due {date_words(item.due)}" if item.due else ""
    return [
        stacked([Line(item.tag, TAG)], tag, canvas),
        stacked(_lines((item.name, NAME), (plate, TEXT), (item.note, TEXT)), thing, canvas),
        stacked(_lines((item.location, TEXT), (kind, TEXT)), where, canvas),
        stacked(_lines((WORK_WORDS[item.work], STRONG), (checks, SMALL)), wanted, canvas),
        stacked(_lines((str(item.minutes), TEXT), (due, SMALL)), when, canvas),
    ]


def _lines(*told: tuple[str, Ink]) -> list[Line]:
    return [Line(text, ink) for text, ink in told if text]


def _text(cell: str, width: float, canvas: PageCanvas) -> Block:
    return stacked([Line(cell, TEXT)], width - GUTTER, canvas)


def _pairs(cells: Sequence[str], widths: Sequence[float]) -> list[tuple[str, float]]:
    return list(zip(cells, widths, strict=True))


def _row(cells: Sequence[Block], widths: Sequence[float]) -> Block:
    return beside([(sum(widths[:place]), cell) for place, cell in enumerate(cells)])


def _heads(words: Sequence[str], widths: Sequence[float], canvas: PageCanvas) -> Block:
    return _row([stacked([Line(word, HEAD)], width - GUTTER, canvas) for word, width in _pairs(words, widths)], widths)
