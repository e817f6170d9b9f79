"""What is signed on a report: by each who inspected, and by the duty holder."""

from typing import Final

from appreg.core.records.kept_records import Person
from appreg.paper.documents.report_content import ReportDocument
from appreg.paper.documents.report_words import declaration, received, signing
from appreg.paper.page.document_parts import BODY, LABEL, put_section
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, below, beside, gap, stacked

_ROOM: Final = 11.0
"""To write in, mm."""
_BETWEEN: Final = 10.0
_BELOW: Final = 10.0
"""The line with what stands beneath it, mm."""


def put_signatures(flow: PageFlow, document: ReportDocument) -> None:
    """Set what each inspector declares and the duty holder confirms, with a line for each; no line stands without its words."""
    put_section(flow, "Signatures", keep_with=45.0)
    for person in signing(document):
        _put_line(flow, declaration(document, person), _called(person))
    holder = document.job.signatory if document.job and document.job.signatory else ""
    for_whom = f"for the duty holder: signature of {holder}" if holder else "for the duty holder: name and signature"
    _put_line(flow, received(document), for_whom)


def _called(person: Person) -> str:
    return f"signature of {person.name}, {person.initials}"


def _put_line(flow: PageFlow, declared: str, signed: str) -> None:
    half = (flow.room - _BETWEEN) / 2
    words = below([stacked([Line(declared, BODY)], flow.room, flow.canvas), gap(_ROOM)])
    beneath = beside([(0.0, _label(signed, half, flow)), (half + _BETWEEN, _label("date", half, flow))])
    flow.put(words, keep_with=beneath.height + _BELOW)
    for left in (0.0, half + _BETWEEN):
        flow.canvas.rule(flow.left + left, flow.y, flow.left + left + half, thickness=0.25)
    flow.y += 1.0
    flow.put(beneath, after=3.0)


def _label(text: str, width: float, flow: PageFlow) -> Block:
    return stacked([Line(text, LABEL)], width, flow.canvas)
