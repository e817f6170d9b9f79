"""What makes a PDF one for archives, looked up by a reader that did not write it: rules of ISO 19005-2, level U.

veraPDF, the validator, is a Java program that the tests cannot have; these are the rules that this program could break.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf


def breaches(path: Path) -> list[str]:
    """Each rule that the file breaks, in words; those of qpdf's check among them."""
    with pikepdf.open(path) as pdf:
        return [*pdf.check_pdf_syntax(), *_of_the_whole(pdf), *(each for page in pdf.pages for each in _of_fonts(page))]


def _of_the_whole(pdf: pikepdf.Pdf) -> Iterator[str]:
    root: Any = pdf.Root
    with pdf.open_metadata() as told:
        if told.pdfa_status != "2U":
            yield f"6.6.4: it says it is {told.pdfa_status or 'none'}"
        if told.get("dc:title") != str(pdf.docinfo.Title):
            yield "6.6.3: two titles"
    if "/Filter" in root.Metadata:
        yield "6.6.2.1: metadata that are packed"
    intents = [each for each in root.get("/OutputIntents", ()) if each.S == "/GTS_PDFA1"]
    if len(intents) != 1 or intents[0].DestOutputProfile.read_bytes()[36:40] != b"acsp":
        yield "6.2.3: no profile of what colours mean"
    if "/ID" not in pdf.trailer or "/Encrypt" in pdf.trailer:
        yield "6.1.3: no number of the file, or locked"
    for forbidden in ("/AA", "/AcroForm", "/OCProperties", "/NeedsRendering"):
        if forbidden in root:
            yield f"6.4: {forbidden}"
    yield from ("6.2.10: a page that is blended" for page in pdf.pages if "/Group" in page)


def _of_fonts(page: pikepdf.Page) -> Iterator[str]:
    fonts: Any = page.resources.get("/Font", {})
    used = _codes_shown(page)
    for name, font in fonts.items():
        read = _read_as(font.ToUnicode.read_bytes())
        descendant = font.DescendantFonts[0]
        if "/FontFile2" not in descendant.FontDescriptor:
            yield f"6.2.11.4: {name} is not in the file"
        for code in used.get(name, ()):
            if read.get(code, 0) in {0, 0xFEFF, 0xFFFE}:
                yield f"6.2.11.7.2: code {code} of {name} reads as nothing"


def _codes_shown(page: pikepdf.Page) -> dict[str, set[int]]:
    shown: dict[str, set[int]] = {}
    font = ""
    for step in pikepdf.parse_content_stream(page):
        operands: Any = step.operands
        if str(step.operator) == "Tf":
            font = str(operands[0])
        elif str(step.operator) in {"Tj", "TJ"}:
            pieces = operands[0] if str(step.operator) == "TJ" else operands
            for piece in pieces:
                if isinstance(piece, pikepdf.String):
                    raw = bytes(piece)
                    shown.setdefault(font, set()).update(
                        int.from_bytes(raw[at : at + 2], "big") for at in range(0, len(raw), 2)
                    )
    return shown


def _read_as(to_unicode: bytes) -> dict[int, int]:
    """The first character that each code reads as."""
    read: dict[int, int] = {}
    for block in to_unicode.split(b"beginbfchar")[1:]:
        for line in block.split(b"endbfchar")[0].split(b"\n"):
            parts = line.strip().strip(b"<>").split(b"> <")
            if len(parts) == 2:
                read[int(parts[0], 16)] = int(parts[1][:4], 16)
    return read
