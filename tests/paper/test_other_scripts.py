"""Scripts that the usual typeface lacks: shaped by HarfBuzz, in the order of UAX 9, read back by pdfium and pypdf."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pypdfium2
import pytest

from appreg.errors import InputRefused
from appreg.paper.page import named_typefaces, other_scripts
from appreg.paper.page.other_scripts import PACKAGES, typeface_files
from appreg.paper.page.page_canvas import Ink, PageCanvas
from tests.paper.archived import breaches
from tests.paper.pdf_reading import darkness, page_image, whole_text

HEBREW, ARABIC = "שלום עולם", "مطبخ المدرسة"
SIZE = Ink(16.0)


@pytest.fixture(autouse=True)
def nothing_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(named_typefaces, "_sources", [])


@pytest.fixture
def canvas() -> Iterator[PageCanvas]:
    with PageCanvas(title="scripts", created=date(2026, 11, 26), width=150, height=40) as page:
        page.add_page()
        yield page


def _file(canvas: PageCanvas, folder: Path) -> Path:
    out = folder / "scripts.pdf"
    canvas.save(out)
    return out


@pytest.mark.parametrize("bold", [False, True])
def test_hebrew_and_arabic_are_drawn_and_read_in_their_order(canvas: PageCanvas, bold: bool, tmp_path: Path) -> None:
    canvas.write(10, 12, f"Kettle {HEBREW} end", Ink(16.0, bold=bold))
    canvas.write(10, 25, ARABIC, Ink(16.0, bold=bold))
    out = _file(canvas, tmp_path)
    assert canvas.missing_glyphs == ()
    assert breaches(out) == []
    with pypdfium2.PdfDocument(out) as document:
        text = document[0].get_textpage().get_text_range()
    assert sorted(HEBREW.split()) == sorted(word for word in text.split() if word in HEBREW)
    assert ARABIC in text
    assert ARABIC in whole_text(out)


def test_a_line_is_as_wide_as_it_was_measured_and_letters_are_joined(canvas: PageCanvas, tmp_path: Path) -> None:
    apart = sum(canvas.measure(letter, SIZE) for letter in ARABIC)
    width = canvas.measure(ARABIC, SIZE)
    canvas.write(20, 20, ARABIC, SIZE)
    picture = page_image(_file(canvas, tmp_path), dpi=300)
    assert width < apart, "isolated letters are wider than joined ones"
    assert darkness(picture, (20, 10, 20 + width, 26), dpi=300) > 0.05
    assert darkness(picture, (21 + width, 10, 120, 26), dpi=300) == 0
    assert darkness(picture, (2, 10, 19, 26), dpi=300) == 0


@pytest.mark.parametrize(
    ("line", "pieces"),
    [
        ("Kettle", [("Kettle", False)]),
        (f"a {HEBREW} b", [("a ", False), (HEBREW, True), (" b", False)]),
        # UAX 9, L2: a number within what is read to the left keeps its own direction, and stands left of what came before.
        ("אב 12 גד", [(" גד", True), ("12", False), ("אב ", True)]),
    ],
)
def test_the_pieces_of_a_line_stand_in_the_order_of_uax_9(
    canvas: PageCanvas, line: str, pieces: list[tuple[str, bool]]
) -> None:
    merged: list[tuple[str, bool]] = []
    for run in canvas._runs(line):
        if merged and merged[-1][1] == run.leftwards:
            before = merged[-1][0]
            merged[-1] = (run.text + before if run.leftwards else before + run.text, run.leftwards)
        else:
            merged.append((run.text, run.leftwards))
    assert merged == pieces


def test_letters_that_change_beside_others_stay_boxes_where_nothing_shapes_them(
    canvas: PageCanvas, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(other_scripts, "can_shape", lambda: False)
    canvas.write(10, 12, f"{HEBREW} {ARABIC}", SIZE)
    assert set(canvas.missing_glyphs) == set(ARABIC) - {" "}
    assert {*HEBREW, *ARABIC} <= set(whole_text(_file(canvas, tmp_path)))


def test_files_that_are_named_come_first_and_one_that_is_no_typeface_is_refused(
    canvas: PageCanvas, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(other_scripts, "PACKAGES", ())
    hebrew = next(path for path in other_scripts._installed(PACKAGES) if "Heebo" in path.name)
    named_typefaces.typefaces_from(lambda: (hebrew,))
    assert typeface_files() == (hebrew,)
    canvas.write(10, 12, HEBREW, SIZE)
    assert canvas.missing_glyphs == ()
    (tmp_path / "none.ttf").write_text("no typeface", encoding="utf-8")
    named_typefaces.typefaces_from(lambda: (tmp_path / "none.ttf",))
    with (
        PageCanvas(title="x", created=date(2026, 11, 26)) as page,
        pytest.raises(InputRefused, match=r"none\.ttf is no typeface"),
    ):
        page.measure(HEBREW, SIZE)
