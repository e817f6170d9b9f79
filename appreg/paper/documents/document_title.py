"""The head of a document: what it is, of what, which state of the register it tells; and at its end what its seal is good for."""

from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.values.dates_in_words import DateForm
from appreg.paper.codes.qr_codes import SEALED, qr_rows
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.page.document_parts import BODY, KIND, TITLE, put_paragraphs, put_section
from appreg.paper.page.page_canvas import Ink, PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.part_roles import Role
from appreg.paper.page.text_blocks import Block, Line, below, stacked

_SEALED: Final = Ink(8.0)
_NUMBERED: Final = Ink(8.5, bold=True)
_CODE: Final = 19.0
"""Side of the code with its white border, mm: at least 4 dots a module at 203 dpi."""
_BESIDE: Final = 4.0
_AFTER_CHANGES: Final = 3.0
_TITLE_SIZES: Final = (TITLE.points, 17.0, 14.0, 11.0, 9.0)
_TITLE_LINES: Final = 2


class PageTitle(Struct, frozen=True, kw_only=True):
    """What stands at the head of the first page."""

    kind: str
    """Which document it is."""
    title: str
    """What it tells of, large."""
    subtitle: str
    dates: DateForm = DateForm.WORDS


def put_title(flow: PageFlow, head: PageTitle, state: DocumentState | None, *, with_changes: bool = True) -> None:
    """Set the document's kind and which state it tells small, with its code, then its subject, large, and a black rule."""
    lines = [Line(head.kind, KIND)]
    room, top = flow.room, flow.y
    if state is not None:
        lines += [Line(state.words(head.dates), _NUMBERED), Line(state.seal_words, _SEALED)]
        room -= _CODE + _BESIDE
        with flow.canvas.piece(Role.FIGURE, f"Code that scans as the {state.seal_words}"):
            flow.canvas.code(flow.left + flow.room - _CODE, top - 2.0, _CODE, qr_rows(state.seal.scanned, SEALED))
    title, subtitle = _title_block(head.title, room, flow.canvas), [Line(head.subtitle, BODY)]
    parts = [stacked(lines, room, flow.canvas), title, stacked(subtitle, room, flow.canvas)]
    block = below([part.as_part(number) for number, part in enumerate(parts)])
    flow.put(block, after=2.0, roles=(Role.PARAGRAPH, Role.TITLE, Role.PARAGRAPH))
    if state is not None and flow.canvas.pages == 1:
        flow.y = max(flow.y, top + _CODE - 1.0)
    flow.strong_rule(after=3.0)
    if with_changes:
        put_changes(flow, state)


def _title_block(title: str, room: float, canvas: PageCanvas) -> Block:
    """As large as leaves it on two lines; a longer one is set smaller, and whole."""
    sizes = [replace(TITLE, points=points) for points in _TITLE_SIZES]
    blocks = [stacked([Line(title, ink)], room, canvas) for ink in sizes]
    return next((block for block in blocks if len(block.marks) <= _TITLE_LINES), blocks[-1])


def put_changes(flow: PageFlow, state: DocumentState | None) -> None:
    """Say of a later issue what changed since the one before."""
    if state is not None and state.changes:
        put_section(flow, f"Changed since issue {state.issue - 1}")
        put_paragraphs(flow, state.changes)
        flow.y += _AFTER_CHANGES


def put_state(flow: PageFlow, state: DocumentState | None) -> None:
    """Set what the seal is good for."""
    if state is not None:
        put_section(flow, "Seal")
        put_paragraphs(flow, [state.explained])
