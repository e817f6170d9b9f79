"""Tags as ISO 32000-1, 14.7 and 14.8 have them, read back with pikepdf."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from msgspec.structs import replace

from appreg.core.records.seals import document_seal, seal_at
from appreg.core.values.dates_in_words import DateForm
from appreg.core.values.told_tables import CellKind, TableColumn, TableGroup, ToldTable
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.register_document import write_register_document
from appreg.paper.documents.report_document import write_report_document
from appreg.paper.documents.result_content import ResultSheet
from appreg.paper.documents.result_document import drawn_result_sheet
from appreg.paper.labels.calibration_page import write_calibration
from appreg.paper.labels.stock_reading import load_stocks
from appreg.paper.page import page_canvas
from appreg.paper.page.page_canvas import PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.table_drawing import READING, put_table
from tests.paper.archived import breaches
from tests.paper.paper_samples import CLIENT, DRILL, KETTLE, REGISTER, REPORT, SITE, TODAY, label, write_sheet

TABLE = ToldTable(
    title="Rooms",
    columns=(TableColumn(name="tag", head="tag"), TableColumn(name="minutes", head="min", kind=CellKind.NUMBER, summed=True)),
    groups=(
        TableGroup(head="Hall", rows=[(f"HR-{n:03d}", n) for n in range(60)]),
        TableGroup(head="Attic", rows=[("HR-900", None), ("word " * 400, 1)]),
    ),
    grouped_by=TableColumn(name="location", head="location"),
)  # fmt: skip


SEAL = document_seal("01M7X0000000000000007F3A91", seal_at(3490, "0b9e" * 16))
RESULTS = ResultSheet(
    item=KETTLE,
    site=SITE,
    client=CLIENT,
    history=(KETTLE,),
    printed=TODAY,
    state=DocumentState(on=TODAY, seal=SEAL),
)


def _list(out: Path) -> None:
    canvas = PageCanvas(title="Rooms", created=TODAY)
    with canvas:
        flow = PageFlow(canvas, running="Rooms", footer="Rooms")
        put_table(flow, TABLE, READING, dates=DateForm.WORDS)
        flow.finish()
        canvas.save(out)


def _written(kind: str, folder: Path) -> Path:
    out = folder / f"{kind}.pdf"
    if kind == "register":
        write_register_document(replace(REGISTER, items=(*REGISTER.items, *(KETTLE, DRILL) * 8)), out)
    elif kind == "report":
        write_report_document(REPORT, out)
    elif kind == "labels":
        write_sheet([label(1), label(2, tag="[red]")], stock=load_stocks()["roll-flag-100x25"], start=1, out=out)
    elif kind == "calibration":
        write_calibration(load_stocks()["a4-24"], out=out, created=TODAY)
    elif kind == "results":
        out.write_bytes(drawn_result_sheet(RESULTS).content)
    else:
        _list(out)
    return out


def _kids(part: Any) -> list[Any]:
    held = part.get("/K", [])
    return list(held) if isinstance(held, pikepdf.Array) else [held]


def _parts(part: Any) -> Iterator[Any]:
    yield part
    for kid in _kids(part):
        if isinstance(kid, pikepdf.Dictionary):
            yield from _parts(kid)


def _pieces(page: pikepdf.Page) -> tuple[list[int], int]:
    """The numbers of a page's tagged pieces in the order of drawing, and how often text is drawn outside all of them."""
    numbers: list[int] = []
    depth = outside = 0
    for step in pikepdf.parse_content_stream(page):
        operands: Any = step.operands
        match str(step.operator):
            case "BDC":
                depth += 1
                numbers.append(int(operands[1].MCID))
            case "BMC":
                depth += 1
            case "EMC":
                depth -= 1
            case "Tj" | "TJ":
                outside += depth == 0
            case _:
                pass
    assert depth == 0
    return numbers, outside


@pytest.mark.parametrize("kind", ["register", "report", "list", "results", "labels", "calibration"])
def test_every_text_is_a_part_or_set_aside_and_both_ways_to_it_agree(kind: str, tmp_path: Path) -> None:
    out = _written(kind, tmp_path)
    assert breaches(out) == []
    with pikepdf.open(out) as pdf:
        root: Any = pdf.Root
        tree, told = root.StructTreeRoot, root.StructTreeRoot.ParentTree.Nums
        owners = {int(told[at]): list(told[at + 1]) for at in range(0, len(told), 2)}
        order: list[tuple[int, int]] = []
        for part in _parts(tree.K):
            order += [(part.Pg.objgen[0], int(kid)) for kid in _kids(part) if isinstance(kid, int)]
        drawn: list[tuple[int, int]] = []
        for page in pdf.pages:
            numbers, outside = _pieces(page)
            assert outside == 0
            own = owners[int(page.obj.StructParents)]
            assert [int(part.K) for part in own] == numbers == list(range(len(numbers)))
            assert all(part.Pg.objgen == page.obj.objgen for part in own)
            drawn += [(page.obj.objgen[0], number) for number in numbers]
        assert root.MarkInfo.Marked == True  # noqa: E712 - a PDF's own boolean
    assert order == drawn, "read in the order of the pages"


@pytest.mark.parametrize("kind", ["register", "report", "list"])
def test_each_row_has_a_cell_under_each_head(kind: str, tmp_path: Path) -> None:
    with pikepdf.open(_written(kind, tmp_path)) as pdf:
        root: Any = pdf.Root
        tables = [part for part in _parts(root.StructTreeRoot.K) if part.S == "/Table"]
        for table in tables:
            rows = [[str(cell.S) for cell in _kids(row)] for row in _kids(table)]
            assert set(rows[0]) == {"/TH"}
            assert len(rows[0]) > 1
            assert all(row in (["/TD"] * len(rows[0]), ["/TH"]) for row in rows[1:]), rows
        assert [str(part.S) for part in _kids(root.StructTreeRoot.K)].count("/H1") == (kind != "list")
    assert tables


def _figures(out: Path) -> list[str]:
    with pikepdf.open(out) as pdf:
        root: Any = pdf.Root
        return [str(part.Alt) for part in _parts(root.StructTreeRoot.K) if part.S == "/Figure"]


def test_what_is_only_seen_is_told_in_words_too(tmp_path: Path) -> None:
    """A figure has an alternate description (ISO 32000-1, 14.9.3)."""
    seal, *charts = _figures(_written("results", tmp_path))
    assert seal == f"Code that scans as the seal {SEAL}"
    assert charts == [
        "Chart of earth continuity: 24 Nov 2026 0.08 Ω, limit ≤ 0.1208 Ω, passed.",
        "Chart of insulation resistance: 24 Nov 2026 >299 MΩ, limit ≥ 1 MΩ, passed.",
    ]


def test_a_flag_is_heard_once_with_the_words_of_its_code(tmp_path: Path) -> None:
    out = _written("labels", tmp_path)
    assert _figures(out) == [
        f"Code that scans as {label(1).payload}",
        f"Code that scans as {label(2, tag='[red]').payload}",
    ]
    with pikepdf.open(out) as pdf:
        root: Any = pdf.Root
        kinds = [str(part.S) for part in _kids(root.StructTreeRoot.K)]
    assert kinds == ["/P", "/Figure"] * 2


def test_equal_documents_have_equal_bytes(tmp_path: Path) -> None:
    _list(tmp_path / "one.pdf")
    _list(tmp_path / "other.pdf")
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "other.pdf").read_bytes()


@pytest.mark.parametrize("most", [1, 0])
def test_a_document_that_is_too_long_has_no_tags_and_says_of_none(
    most: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page_canvas, "MOST_TAGGED", most)
    out = _written("list", tmp_path)
    assert breaches(out) == []
    with pikepdf.open(out) as pdf:
        assert {"/StructTreeRoot", "/MarkInfo"}.isdisjoint(pdf.Root.keys())
        assert all("/StructParents" not in page for page in pdf.pages)
    assert not re.search(rb"/StructElem|/MCID", out.read_bytes())
