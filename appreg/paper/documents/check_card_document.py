"""A card for user checks as a PDF file: to hang where the items are used."""

from typing import Final

from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.paper.documents.check_card_content import CardFrequency, UserCheckCard
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_title
from appreg.paper.documents.legend_words import meanings
from appreg.paper.page.document_parts import BODY, put_paragraphs, put_section
from appreg.paper.page.form_parts import CAPTION, loud_bar, text_row, widths_of
from appreg.paper.page.page_canvas import Ink, PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Line

_WORD: Final = Ink(9.5, bold=True)
_LOUD: Final = 12.0
_NAMED: Final = 24
"""Items that a card names; a location with more has its list."""
_MARK: Final = " *"
_STARRED: Final = "* Common practice: no document is named for it."
_NO_CHECK: Final = "The interval table asks for no user check of these items by the calendar. Look at each before you use it all the same."
_FORBIDDEN: Final = "Do not open plugs or casings and mend nothing: that is work for a competent person."
_SCOPE: Final = (
    "A user check is a look with open eyes, without tools. It is not recorded unless something is wrong, and it stands for no "
    "formal visual inspection and for no test."
)


def drawn_check_card(card: UserCheckCard) -> DrawnDocument:
    """Draw the card."""
    canvas = PageCanvas(
        title=f"User checks, {card.title}", created=card.printed, width=card.size.width, height=card.size.height
    )
    with canvas:
        as_of = date_words(card.printed, card.dates)
        flow = PageFlow(canvas, running=f"{card.title} · user checks", footer=f"{card.title} · card of {as_of}")
        put_title(flow, PageTitle(kind="User checks", title=card.title, subtitle=card.subtitle, dates=card.dates), None)
        _put_frequencies(flow, card)
        _put_looks(flow, card)
        words = f"Anything wrong? Do not use it, put it where nobody else does, and tell {card.ask or 'whoever sees to it here'}."
        flow.put(loud_bar(words, flow.room, _LOUD, canvas), after=2.0)
        put_paragraphs(flow, [_FORBIDDEN, _SCOPE])
        small = [*card.sources, f"How often: {card.table}.", *meanings([*card.sources, card.table])]
        put_paragraphs(flow, small, ink=CAPTION)
        flow.finish()
        count = sum(len(each.items) for each in card.frequencies)
        summary = DocumentSummary(items=count, pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)


def _put_frequencies(flow: PageFlow, card: UserCheckCard) -> None:
    put_section(flow, "How often")
    if not card.frequencies:
        put_paragraphs(flow, [_NO_CHECK])
    widths = widths_of((26, 74), flow.room)
    for each in card.frequencies:
        flow.put(text_row([[Line(each.every, _WORD)], _of(each)], widths, flow.canvas), after=1.0)


def _of(each: CardFrequency) -> list[Line]:
    left = len(each.items) - _NAMED
    more = [f"and {counted(left, 'item')} more"] if left > 0 else []
    return [Line(", ".join((*each.items[:_NAMED], *more)), BODY), Line(each.because, CAPTION)]


def _put_looks(flow: PageFlow, card: UserCheckCard) -> None:
    put_section(flow, "What to look for")
    widths = widths_of((26, 74), flow.room)
    for each in card.looks:
        title = each.title + (_MARK if each.common_practice else "")
        flow.put(text_row([[Line(title, _WORD)], [Line(each.look_for, BODY)]], widths, flow.canvas), after=0.9)
    if any(each.common_practice for each in card.looks):
        put_paragraphs(flow, [_STARRED], ink=CAPTION)
    flow.y += 1.5
