"""Tables that are broken or meant to do harm: workbooks written by hand, and texts beyond all bounds."""

import io
import zipfile
from collections.abc import Callable, Mapping
from typing import Final

_MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKED: Final = "http://schemas.openxmlformats.org/package/2006"
_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_RELATIONS: Final = '<Relationships xmlns="' + _PACKED + '/relationships">{}</Relationships>'
_PARTS: Final = {
    "[Content_Types].xml": (
        f'<Types xmlns="{_PACKED}/content-types"><Default Extension="xml" ContentType="application/xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_TYPE}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{_TYPE}.worksheet+xml"/></Types>'
    ),
    "_rels/.rels": _RELATIONS.format(
        f'<Relationship Id="a" Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/>'
    ),
    "xl/workbook.xml": (
        f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets><sheet name="S" sheetId="1" r:id="a"/></sheets></workbook>'
    ),
    "xl/_rels/workbook.xml.rels": _RELATIONS.format(
        f'<Relationship Id="a" Type="{_OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>'
        f'<Relationship Id="b" Type="{_OFFICE}/sharedStrings" Target="sharedStrings.xml"/>'
    ),
}


def workbook(rows: str, texts: str = "", more: Mapping[str, str] | None = None) -> bytes:
    """A workbook of one sheet with these rows, and these texts that cells share, as they stand."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in {**_PARTS, **(more or {})}.items():
            packed.writestr(name, text)
        _write(
            packed,
            "xl/worksheets/sheet1.xml",
            f'<worksheet xmlns="{_MAIN}"><sheetData>',
            rows,
            "</sheetData></worksheet>",
        )
        _write(packed, "xl/sharedStrings.xml", f'<sst xmlns="{_MAIN}">', texts, "</sst>")
    return held.getvalue()


def _write(packed: zipfile.ZipFile, name: str, before: str, text: str, after: str) -> None:
    """Write a part piece by piece, for it may be hundreds of megabytes."""
    step = 1_000_000
    with packed.open(name, "w") as part:
        part.write(before.encode())
        for at in range(0, len(text), step):
            part.write(text[at : at + step].encode())
        part.write(after.encode())


def cell(place: str, text: str) -> str:
    """A cell with a text of its own."""
    return f'<c r="{place}" t="str"><v>{text}</v></c>'


def shared(rows: int) -> str:
    """As many rows of one cell that show the first of the texts."""
    return "".join(f'<row r="{at}"><c r="A{at}" t="s"><v>0</v></c></row>' for at in range(1, rows + 1))


def _two_cells(first: str, second: str) -> bytes:
    number = second.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return workbook(f'<row r="1">{cell(first, "Tag")}</row><row r="{number}">{cell(second, "z")}</row>')


WHOLES: Final[Mapping[str, Callable[[], bytes]]] = {
    "millions of lines": lambda: b"Tag,Name\n" + b"A1,x\n" * 3_000_000,
    "millions of lines beyond ASCII": lambda: b"Tag,N\xe4me\n" * 1_200_000,
    "16 384 columns": lambda: b"Tag" + b",x" * 16_383 + b"\nA" + b",1" * 16_383,
    "16 384 empty columns": lambda: (b"Tag" + b"," * 16_383 + b"\n") * 200,
    "a cell of 10 MB": lambda: b"Tag,Name\nA1," + b"x" * 10_000_000 + b"\n",
    "a quote that is open": lambda: b'Tag,Name\nA1,"' + b"x,y\n" * 900_000,
    "delimiters alone": lambda: b"," * 30_000_000,
    "quotes alone": lambda: b'"' * 2_000_000,
    "zero bytes": lambda: b"Tag,Na\0me\nA1,x\n",
    "two encodings": lambda: "Tag,Näme – Ω\nA1,ü\n".encode() + b"A2,\xe4\n",
    "half a character": lambda: "Tag,x\nA,Ł\n".encode("utf-16")[:-1],
    "longer than any table": lambda: b"Tag\n" + b"A1,x,y,z\n" * 8_000_000,
    "cells far apart": lambda: _two_cells("A1", "XFD1048576"),
    "cells beyond the sheet": lambda: _two_cells("A1", "ZZZZZZ9999999"),
    "rows far apart": lambda: _two_cells("A1", "A1048576"),
    "places written oddly": lambda: workbook("<row><c t='str' r = 'A1'><v>x</v></c><c\nr='XFD1048576'><v>1</v></c></row>"),
    "a cell of 100 MB": lambda: workbook(f'<row r="1">{cell("A1", "x" * 100_000_000)}</row>'),
    "a bomb": lambda: workbook("x" * 200_000_000),
    "millions of texts": lambda: workbook(shared(1), "<si/>" * 10_000_000),
    "one long text in all cells": lambda: workbook(shared(100_000), f"<si><t>{'y' * 32_000}</t></si>"),
    "one long text of many runs": lambda: workbook(shared(100_000), f"<si>{'<r><t>yyyyyyyyyyyyyyyyyyyyy</t></r>' * 1500}</si>"),
    "a text of a million runs": lambda: workbook(shared(1), f"<si>{'<r><t>y</t></r>' * 1_000_000}</si>"),
    "cells without places": lambda: workbook(f"<row>{'<c><v>1</v></c>' * 16_000}</row>" * 20),
    "millions of bare cells": lambda: workbook("<row><c/></row>" * 3_000_000),
    "entities": lambda: workbook('<row r="1"><c r="&#65;1" t="str"><v>&a;</v></c></row>'),
    "no such text": lambda: workbook(shared(3), ""),
    "row 0": lambda: workbook('<row r="0"><c r="A0"><v>1</v></c></row>'),
    "no cell": lambda: workbook(""),
    "formulas": lambda: workbook('<row r="1"><c r="A1"><f>1+1</f><v>2</v></c><c r="B1"><f>[1]x!A1</f></c></row>', more={
        "xl/externalLinks/externalLink1.xml": "<externalLink/>"}),
    "figures of all sizes": lambda: workbook(
        '<row r="1"><c r="A1"><v>1e400</v></c><c r="B1"><v>-1e308</v></c><c r="C1"><v>1e-300</v></c>'
        '<c r="D1" t="e"><v>#REF!</v></c><c r="E1" t="d"><v>99999-01-01</v></c><c r="F1" t="b"><v>7</v></c></row>'
    ),
    "a sheet cut short": lambda: workbook('<row r="1"><c r="A1"><v>1')[:-40],
    "an older workbook": lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(4096),
    "a packed folder": lambda: workbook("").replace(b"xl/workbook.xml", b"xl/something.el"),
    "white space": lambda: b" \n" * 100_000,
}  # fmt: skip
"""By name: how the table is made."""
