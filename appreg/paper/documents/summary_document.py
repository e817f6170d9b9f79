"""The summary for a duty holder as a PDF file: one page, whatever the site has; what does not fit is counted and pointed to."""

from collections.abc import Sequence
from typing import Final

from appreg.core.values.dates_in_words import date_words
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_title
from appreg.paper.documents.summary_content import DutySummary
from appreg.paper.page.document_parts import (
    BODY,
    SECTION,
    Particular,
    put_counts,
    put_paragraphs,
    put_particulars,
    put_section,
)
from appreg.paper.page.form_parts import CAPTION, head_row, text_row, widths_of
from appreg.paper.page.page_canvas import Ink, PageCanvas, printable
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Line, stacked
from appreg.paper.page.text_fitting import elided
from appreg.paper.page.undrawn_text import undrawn_sentences

_STRONG: Final = Ink(8.5, bold=True)
_LINE: Final = 5.0
"""A line of a list, mm."""
_BOXES_HEAD: Final = 12.0
"""Of a section's head with the space around it, mm."""
_LONGEST: Final = 120
"""Characters of a name or an address here; the register has all of it."""
_NOTHING_SAID: Final = (
    "This page sums up the register of the site as of its day. It is neither the register nor a report of inspection, says nothing of the "
    "fixed wiring or of items that nobody has entered, and an item can become unsafe at any time after it was looked at."
)
_FAILED: Final = "Put right or scrap: failed, not passed since"
_OVERDUE: Final = "Overdue"


def drawn_summary(summary: DutySummary) -> DrawnDocument:
    """Draw the page."""
    name = _short(summary.site.name)
    with PageCanvas(title=f"Summary for the duty holder, {name}", created=summary.printed) as canvas:
        as_of = date_words(summary.printed, summary.dates)
        flow = PageFlow(canvas, running=f"{name} · summary", footer=f"{name} · summary as of {as_of}")
        kind = f"Summary for the duty holder, portable appliances, as of {as_of}"
        head = PageTitle(kind=kind, title=name, subtitle=_short(summary.site.address), dates=summary.dates)
        put_title(flow, head, summary.state)
        _put_facts(flow, summary)
        _put_to_do(flow, summary)
        _put_months(flow, summary)
        put_paragraphs(flow, [_NOTHING_SAID], ink=CAPTION)
        bottom = flow.bottom - _room_for_boxes(flow, summary)
        share = (bottom - flow.y) / 2 if summary.overdue else bottom - flow.y
        _put_list(flow, _FAILED, summary.failed, until=flow.y + share)
        _put_list(flow, _OVERDUE, summary.overdue, until=bottom)
        flow.finish()
        told = DocumentSummary(items=summary.counts[0][0], pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=told)


def _room_for_boxes(flow: PageFlow, summary: DutySummary) -> float:
    """What it takes to say at the end which characters are not drawn, mm."""
    site, client = summary.site, summary.client
    named = (
        site.name,
        site.address,
        client.name,
        client.address,
        summary.last_visit,
        *summary.failed,
        *summary.overdue,
    )
    told = undrawn_sentences({}, flow.canvas.lacking(printable("".join(named))))
    lines = stacked([Line(each, BODY) for each in told], flow.room, flow.canvas)
    return lines.height + _BOXES_HEAD if told else 0.0


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1].rstrip()}…"


def _put_facts(flow: PageFlow, summary: DutySummary) -> None:
    client = summary.client
    facts = [
        Particular("duty holder", (_short(client.name), _short(client.address))),
        Particular("last inspected", (_short(summary.last_visit) or "never",)),
        Particular("duty chosen for the site", (_short(summary.duty) or "none",)),
    ]
    put_particulars(flow, facts, columns=3)
    put_counts(flow, summary.counts)


def _put_to_do(flow: PageFlow, summary: DutySummary) -> None:
    put_section(flow, "What to do by when")
    widths = widths_of((34, 146), flow.room)
    for when, what in summary.to_do:
        flow.put(text_row([[Line(when, _STRONG)], [Line(what, BODY)]], widths, flow.canvas), after=0.8)
    if not summary.to_do:
        put_paragraphs(
            flow, ["Nothing stands as failed, overdue or never inspected, and nothing falls due within a year."]
        )


def _put_months(flow: PageFlow, summary: DutySummary) -> None:
    put_section(flow, "What falls due")
    widths = widths_of((30, *(11 for _ in summary.months)), flow.room)
    canvas = flow.canvas
    flow.put(head_row(("", *(each.month for each in summary.months)), widths, canvas), after=0.6)
    for words, numbers in (
        ("visual inspections", [each.looks for each in summary.months]),
        ("tests", [each.tests for each in summary.months]),
    ):
        cells = [[Line(words, BODY)], *([Line(str(number) if number else "–", BODY)] for number in numbers)]
        flow.put(text_row(cells, widths, canvas), after=0.6)
    flow.y += 1.0


def _put_list(flow: PageFlow, title: str, lines: Sequence[str], *, until: float) -> None:
    """A list down to a place of the page; what is left over is counted and pointed to."""
    canvas = flow.canvas
    head = stacked([Line(f"{title} ({len(lines)})", SECTION)], flow.room, canvas)
    if not lines or flow.y + head.height + 2 * _LINE > until:
        words = f"{title}: {len(lines)}, listed in the register of the site." if lines else f"{title}: none."
        flow.put(stacked([Line(words, _STRONG)], flow.room, canvas), after=1.5)
        return
    flow.put(head, after=1.4)
    for done, line in enumerate(lines):
        last = done == len(lines) - 1
        if flow.y + (1 if last else 2) * _LINE > until:
            left = f"and {len(lines) - done} more, listed in the register of the site"
            flow.put(stacked([Line(left, _STRONG)], flow.room, canvas), after=1.5)
            return
        text = elided(printable(line), flow.room, lambda words: canvas.measure(words, BODY))
        flow.put(stacked([Line(text, BODY)], flow.room, canvas), after=0.7)
    flow.y += 1.5
