from datetime import date
from pathlib import Path

import pytest

from appreg.core.records.kept_records import LabelKind
from appreg.core.values.dates_in_words import DateForm
from appreg.errors import Incomplete, InputRefused
from appreg.paper.labels.label_content import NextDate, small_lines
from appreg.paper.labels.label_fitting import fit_label
from appreg.paper.labels.label_layout import place_labels
from appreg.paper.labels.label_stock import Shape, Stock, face_of
from appreg.paper.labels.label_words import LabelWords
from appreg.paper.labels.stock_reading import load_stocks
from appreg.paper.page.page_canvas import PageCanvas
from appreg.progress import Stopped
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.paper_samples import TODAY, label, write_sheet
from tests.paper.pdf_reading import darkness, page_image, pages_of, text_boxes, whole_text

STOCKS = tuple(load_stocks().values())
A4_24 = load_stocks()["a4-24"]
BIDI = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c"
ON_STOCKS = pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.id)


@ON_STOCKS
def test_a_sheet_says_tag_verdict_date_initials_item_and_site_of_each_label(tmp_path: Path, stock: Stock) -> None:
    out = tmp_path / "labels.pdf"
    kinds = [LabelKind.DO_NOT_USE if number % 3 == 0 else LabelKind.PASS for number in range(stock.places)]
    labels = [label(number, kind=kind) for number, kind in enumerate(kinds)]
    summary = write_sheet(labels, stock=stock, start=1, out=out, created=TODAY)
    text = whole_text(out)
    sides = len(face_of(stock).corners)
    assert (summary.count, summary.sheets) == (stock.places, 1)
    assert summary.missing_glyphs == ()
    assert all(text.count(one.tag) == sides for one in labels)
    assert text.count("DO NOT USE") == kinds.count(LabelKind.DO_NOT_USE) * sides
    assert text.count("PASS") == kinds.count(LabelKind.PASS) * sides
    assert text.count("24 Nov 2026 · AB") == stock.places * sides
    assert text.count("failed 24 Nov 2026") == kinds.count(LabelKind.DO_NOT_USE) * sides
    if stock.shape is not Shape.ROUND:  # there what need not be read gives way
        assert text.count("Kettle") == text.count("Harbour Row 14") == stock.places * sides


@ON_STOCKS
def test_pass_and_fail_differ_in_form_in_black_and_white(tmp_path: Path, stock: Stock) -> None:
    face = face_of(stock)
    for kind, least, most in ((LabelKind.PASS, 0, 0.4), (LabelKind.DO_NOT_USE, 0.7, 1)):
        out = tmp_path / f"{kind.name}.pdf"
        write_sheet([label(1, kind=kind)], stock=stock, start=1, out=out, created=TODAY)
        (place,) = place_labels(stock, 1)
        for x, y in face.corners:
            left, top = place.x_mm + x + face.stock.margin, place.y_mm + y + face.stock.margin
            right = left + face.stock.label_width - 2 * face.stock.margin
            dark = darkness(page_image(out, dpi=300), (left, top, right, top + face.stock.band), dpi=300)
            assert least <= dark <= most


@ON_STOCKS
@pytest.mark.parametrize("kind", LabelKind)
def test_nothing_is_drawn_outside_the_margins_of_a_label(tmp_path: Path, stock: Stock, kind: LabelKind) -> None:
    out = tmp_path / "labels.pdf"
    long = label(
        1,
        kind=kind,
        tag="W" * 60,
        site="W" * 300,
        item="漢字" * 40,
        initials="ABCDEFGH",
        next_date=NextDate(TODAY, "test"),
    )
    middle = min(stock.columns + 2, stock.places)
    write_sheet([long], stock=stock, start=middle, out=out, created=TODAY)
    (place,) = place_labels(stock, 1, middle)
    picture = page_image(out, dpi=300)
    ink = picture.point(lambda value: 255 if value < 200 else 0).getbbox()
    assert ink is not None
    left, top, right, bottom = (edge / 300 * 25.4 for edge in ink)
    slack = 0.15
    assert left >= place.x_mm + stock.margin - slack
    assert top >= place.y_mm + stock.margin - slack
    assert right <= place.x_mm + place.w - stock.margin + slack
    assert bottom <= place.y_mm + place.h - stock.margin + slack + 0.3 * stock.text_points * 25.4 / 72


def test_the_first_label_is_printed_at_the_start_position(tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"
    summary = write_sheet([label(1), label(2)], stock=A4_24, start=24, out=out, created=TODAY)
    assert summary.sheets == 2
    first = min((box for box in text_boxes(out) if box[0] == 1), key=lambda box: box[2])
    (place,) = place_labels(A4_24, 1, 24)
    assert place.x_mm <= first[1]
    assert place.y_mm <= first[2]
    assert pages_of(out) == 2


def test_a_next_date_stands_on_a_pass_only_and_only_where_asked() -> None:
    on = date(2027, 11, 24)
    assert "next test 24 Nov 2027" in small_lines(label(1, next_date=NextDate(on, "test")))
    assert not any("next" in line for line in small_lines(label(1)))
    assert not any(
        "next" in line for line in small_lines(label(1, kind=LabelKind.DO_NOT_USE, next_date=NextDate(on, "test")))
    )


def test_equal_labels_give_equal_bytes(tmp_path: Path) -> None:
    one, other, later = (tmp_path / name for name in ("one.pdf", "other.pdf", "later.pdf"))
    for out in (one, other):
        write_sheet([label(1), label(2)], stock=A4_24, start=3, out=out, created=TODAY)
    write_sheet([label(1), label(2)], stock=A4_24, start=3, out=later, created=date(2026, 11, 25))
    assert one.read_bytes() == other.read_bytes()
    assert one.read_bytes() != later.read_bytes()


def test_hostile_names_are_shown_as_text_and_reorder_nothing(tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"
    labels = [label(number, site=name, item=name, tag=name) for number, name in enumerate(HOSTILE_NAMES)]
    summary = write_sheet(labels, stock=A4_24, start=1, out=out, created=TODAY)
    text = whole_text(out)
    assert summary.count == len(HOSTILE_NAMES)
    assert "[red]" in text
    assert "=1+1" in text
    assert "⟨202E⟩" in text
    assert "⟨1B⟩" in text
    assert not set(text) & set(BIDI)
    assert not any(ord(character) < 32 and character not in "\n\r\t" for character in text)


def test_characters_the_typeface_lacks_are_drawn_as_boxes_and_reported(tmp_path: Path) -> None:
    seen, bare = tmp_path / "seen.pdf", tmp_path / "bare.pdf"
    summary = write_sheet([label(1, item="漢")], stock=A4_24, start=1, out=seen, created=TODAY)
    write_sheet([label(1, item=" ")], stock=A4_24, start=1, out=bare, created=TODAY)
    assert summary.missing_glyphs == ("漢",)
    left, top = A4_24.left, A4_24.top + A4_24.margin + A4_24.band
    area = (left, top, left + A4_24.label_width - A4_24.code, top + A4_24.label_height / 2)
    assert darkness(page_image(seen, dpi=300), area, dpi=300) > darkness(page_image(bare, dpi=300), area, dpi=300)


@pytest.mark.parametrize("text", ["Ωμέγα", "Мастерская", "Łódź", "µ² ≤ ≥ · × ½ Δ €"])
def test_the_typeface_has_latin_greek_cyrillic_and_the_signs_of_the_trade(tmp_path: Path, text: str) -> None:
    out = tmp_path / "labels.pdf"
    summary = write_sheet([label(1, item=text)], stock=A4_24, start=1, out=out, created=TODAY)
    assert summary.missing_glyphs == ()
    assert text in whole_text(out)


def test_printing_that_is_stopped_writes_no_file(tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"
    calls: list[tuple[int, int]] = []

    def stop_at_second_sheet(done: int, total: int) -> bool:
        calls.append((done, total))
        return done < 24

    with pytest.raises(Stopped, match="stopped after 24 of 50"):
        write_sheet(
            [label(number) for number in range(50)],
            stock=A4_24,
            start=1,
            out=out,
            created=TODAY,
            progress=stop_at_second_sheet,
        )
    assert calls == [(0, 50), (24, 50)]
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match=r"There is no folder .*nowhere.*choose another"):
        write_sheet([label(1)], stock=A4_24, start=1, out=tmp_path / "nowhere" / "labels.pdf", created=TODAY)


def test_no_label_at_all_is_told() -> None:
    with pytest.raises(Incomplete, match="no label to print"):
        write_sheet([], stock=A4_24, start=1, out=Path("unused.pdf"), created=TODAY)


def test_the_words_as_they_are_cut_are_those_of_the_printed_label(tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"
    wordy = label(1, site="A very long name of a site that will not fit on any label of this stock")
    write_sheet([wordy], stock=A4_24, start=1, out=out, created=TODAY)
    with PageCanvas(title="", created=TODAY) as canvas:
        text, cut = whole_text(out), fit_label(wordy, A4_24, canvas.measure)
    assert cut.verdict.text == "TESTED · PASS"
    assert cut.lines[-1].text.endswith("…")
    assert all(line.whole in text for line in (cut.verdict, cut.tag, *cut.lines))


FULL = {
    "next_date": NextDate(TODAY, "test"),
    "dates": DateForm.DOTTED,
    "colour": "light blue",
    "tester": "Wren, Daughters and Sons Ltd",
}


@pytest.mark.parametrize(
    "stock", [stock for stock in STOCKS if stock.shape is not Shape.ROUND], ids=lambda each: each.id
)
def test_what_must_be_read_is_printed_whole_at_the_size_of_the_stock_and_the_rest_gives_way(
    tmp_path: Path, stock: Stock
) -> None:
    out, one = tmp_path / "labels.pdf", label(1, kind=LabelKind.PASS, **FULL)
    write_sheet([one], stock=stock, start=1, out=out, created=TODAY)
    text = " ".join(whole_text(out).split())
    for needed in ("24.11.2026 · AB · light blue", "next test 24.11.2026", "by Wren, Daughters and Sons Ltd"):
        assert needed in text
    words = LabelWords(TODAY)
    assert not words.is_cut(one, stock)
    assert words.is_cut(
        label(1, kind=LabelKind.PASS, **{**FULL, "tester": "Wren, Daughters and Granddaughters " * 4}), stock
    )
