"""PDF/A-2u (ISO 19005-2), read back with libraries that did not write it: pikepdf (qpdf), pdfium and pypdf."""

from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from msgspec.structs import replace

from appreg.paper.documents.register_document import write_register_document
from appreg.paper.documents.report_document import write_report_document
from appreg.paper.labels.stock_reading import load_stocks
from appreg.paper.page import other_scripts
from appreg.paper.page.undrawn_text import BOXES, BOXES_HEAD, undrawn_sentences
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.archived import breaches
from tests.paper.paper_samples import KETTLE, REGISTER, REPORT, SITE, TODAY, label, write_sheet
from tests.paper.pdf_reading import page_texts, whole_text

FOREIGN = "漢字 שלום عربي"


@pytest.fixture(autouse=True)
def no_other_typefaces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(other_scripts, "PACKAGES", ())


def _written(kind: str, folder: Path, name: str = "Kettle") -> Path:
    out = folder / f"{kind}.pdf"
    item = replace(KETTLE, appliance=replace(KETTLE.appliance, name=name))
    if kind == "register":
        write_register_document(replace(REGISTER, items=(item,), site=replace(SITE, address=name)), out)
    elif kind == "report":
        write_report_document(replace(REPORT, items=(item,)), out)
    else:
        write_sheet([label(1, item=name)], stock=load_stocks()["a4-24"], start=1, out=out, created=TODAY)
    return out


@pytest.mark.parametrize("kind", ["register", "report", "labels"])
@pytest.mark.parametrize("name", ["Kettle", FOREIGN + "<&>\x1b" + "".join(HOSTILE_NAMES)[:300]])
def test_what_is_written_keeps_the_rules_for_archives(kind: str, name: str, tmp_path: Path) -> None:
    assert breaches(_written(kind, tmp_path, name)) == []


def test_a_file_names_its_language_and_shows_its_title_and_sections(tmp_path: Path) -> None:
    with pikepdf.open(_written("register", tmp_path)) as pdf:
        root: Any = pdf.Root
        assert str(root.Lang) == "en-GB"
        assert root.ViewerPreferences.DisplayDocTitle == True  # noqa: E712 - a PDF's own boolean
        with pdf.open_metadata() as told:
            assert told["dc:title"] == "Register of portable appliances, Harbour Row 14"
            assert told["xmp:CreateDate"] == "2026-11-24T00:00:00+00:00"
    with pypdfium2.PdfDocument(tmp_path / "register.pdf") as document:
        named = [(mark.get_title(), mark.get_dest().get_index()) for mark in document.get_toc()]
    pages = page_texts(tmp_path / "register.pdf")
    assert {"Failed", "Cautions"} <= {title for title, _ in named}
    assert all(title in pages[page] for title, page in named)
    assert [page for _, page in named] == sorted(page for _, page in named)


@pytest.mark.parametrize("kind", ["register", "report"])
def test_characters_that_are_not_drawn_stay_in_the_text_and_the_document_says_which(kind: str, tmp_path: Path) -> None:
    out = _written(kind, tmp_path, FOREIGN)
    text = whole_text(out)
    assert set(FOREIGN) <= set(text)
    assert text.index(BOXES_HEAD) > text.index("Cautions")
    told = " ".join(text[text.index(BOXES_HEAD) :].split())
    assert BOXES in told
    assert "CJK: 5B57, 6F22, on page" in told
    assert "Hebrew: 05D5, 05DC, 05DD, 05E9, on page" in told
    with pypdfium2.PdfDocument(out) as document:
        assert "漢字" in document[0].get_textpage().get_text_range(), "two readers agree"


def test_what_stands_at_the_foot_of_every_page_is_missing_on_every_page(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    write_register_document(replace(REGISTER, items=(KETTLE,), site=replace(SITE, name="漢")), out)
    assert "CJK: 6F22, on every page" in whole_text(out)


def test_nothing_is_said_where_every_character_is_drawn(tmp_path: Path) -> None:
    assert BOXES_HEAD not in whole_text(_written("register", tmp_path, "Łódź – Ελλάδα"))
    assert undrawn_sentences({}) == []


def test_runs_of_pages_signs_and_many_characters_are_told_shortly() -> None:
    many = {chr(0x4E00 + number): {1, 2, 3, 7} for number in range(40)}
    said = undrawn_sentences({**many, "①": {4}})
    assert said[1].endswith("4E0A, 4E0B and 28 more, on pages 1–3, 7")
    assert said[2] == "Circled digit one: 2460, on page 4"
