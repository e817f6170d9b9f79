"""Cells of CSV files: read exactly, every problem told with its place."""

from datetime import date
from decimal import Decimal

import pytest

from appreg.core.records.appliances import ApplianceClass
from appreg.core.values.readings import Unit
from appreg.core.values.told_tables import TableColumn, ToldTable, one_group
from appreg.errors import InputRefused
from appreg.exchange.csv_cells import Cells, Column, read_cells
from appreg.exchange.file_problems import FileProblem, refuse_problems
from appreg.exchange.list_file import table_csv

COLUMNS = (
    Column(name="tag", meaning="the tag", required=True),
    Column(name="class", meaning="the class"),
    Column(name="watts", meaning="power"),
)


def cells(**values: str) -> Cells:
    return Cells(file="items.csv", line=7, values=values)


def test_lines_are_read_by_the_name_of_their_column_in_any_order() -> None:
    lines, problems = read_cells('\ufeffwatts, tag\r\n13,"a,""b"""\r\n\r\n,x\r\n', "f.csv", COLUMNS)
    assert problems == []
    assert [(line.line, line.text("tag"), line.whole("watts")) for line in lines] == [(2, 'a,"b"', 13), (4, "x", None)]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "f.csv, line 1: the file is empty; write a header line."),
        ("class\n1\n", "f.csv, line 1, tag: this column is missing; add it."),
        ("tag,colour\n", "f.csv, line 1, colour: this column is not known; use class, tag, watts."),
        ("tag,tag\n", "f.csv, line 1, tag: this column stands twice; keep one of them."),
        ('tag\n"a\n', "f.csv, line 2: unexpected end of data; mend its quotes."),
    ],
)
def test_a_header_that_cannot_be_used_is_told(text: str, sentence: str) -> None:
    lines, problems = read_cells(text, "f.csv", COLUMNS)
    assert lines == []
    assert problems[0].sentence == sentence


def test_a_sentence_stays_one_however_long_the_head_or_the_cell_is() -> None:
    _, problems = read_cells(f"tag,{'x' * 9000}\n", "f.csv", COLUMNS)
    long = FileProblem(file="f.csv", line=2, column="", what=f"“{'y' * 9000}” is not known", todo="correct it")
    for problem in (*problems, long):
        assert len(problem.sentence) < 700
        assert problem.sentence.startswith("f.csv, line ")
        assert problem.sentence.endswith(("class, tag, watts.", "correct it."))


def test_a_line_tells_all_its_problems_and_the_next_is_still_read() -> None:
    lines, _ = read_cells("tag,class,watts\n,1,2,3\nA,2,60\n", "f.csv", COLUMNS)
    assert [problem.sentence for problem in lines[0].problems] == [
        "f.csv, line 2: it has 4 cells, the header 3; add or remove commas.",
        "f.csv, line 2, tag: the cell is empty; give the tag.",
    ]
    assert lines[1].problems == []
    assert lines[1].choice("class", ApplianceClass) is ApplianceClass.CLASS_II


def test_values_are_exact_and_typed() -> None:
    line = cells(a="0.10", b="2026-11-24", c="yes", d="bad", e=">299", f="12", g="", h="'=1+1")
    assert (line.figure("a"), str(line.figure("a"))) == (Decimal("0.10"), "0.10")
    assert line.day("b") == date(2026, 11, 24)
    assert (line.flag("c"), line.flag("g"), line.verdict("d"), line.verdict("g")) == (True, False, False, None)
    reading = line.reading("e", Unit.MEGOHM)
    assert reading is not None
    assert (reading.comparator, reading.value) == (">", Decimal(299))
    assert (line.whole("f"), line.whole("g"), line.reading("g", Unit.OHM)) == (12, None, None)
    assert line.text("h") == "=1+1"
    assert line.problems == []


@pytest.mark.parametrize("wrong", ["x", "1,5", "1e3", "NaN", "inf", "٣", "9" * 16])
def test_what_is_not_a_figure_is_told_and_never_guessed(wrong: str) -> None:
    line = cells(a=wrong)
    assert line.figure("a") is None
    assert line.problems[0].sentence.startswith("items.csv, line 7, a: “")


@pytest.mark.parametrize("wrong", ["24.11.2026", "2026-02-30", "soon"])
def test_what_is_not_a_date_is_told(wrong: str) -> None:
    line = cells(a=wrong)
    assert line.day("a") is None
    assert len(line.problems) == 1


def test_words_of_a_closed_set_readings_and_texts_are_told_with_their_reason() -> None:
    line = cells(a="IV", b="1,500", c="a\x1b[2J", d="perhaps", e="maybe", f="1.5")
    assert line.choice("a", ApplianceClass) is None
    assert line.reading("b", Unit.OHM) is None
    assert line.text("c") == ""
    assert line.verdict("d") is None
    assert line.flag("e") is False
    assert line.whole("f") is None
    sentences = [problem.sentence for problem in line.problems]
    assert len(sentences) == 6
    assert "1, 2, 3, unknown" in sentences[0]
    assert "decimal comma" in sentences[1]
    assert all(sentence.isprintable() for sentence in sentences)


def test_gathered_problems_refuse_as_one_sentence() -> None:
    problem = FileProblem(file="f.csv", line=2, column="tag", what="it is empty", todo="give one")
    refuse_problems(())
    with pytest.raises(InputRefused, match=r"f\.csv, line 2, tag: it is empty; give one\. \(1 more like it\)"):
        refuse_problems((problem, problem))


def test_cells_of_columns_that_others_put_beside_are_not_kept() -> None:
    text = "price,tag,,\r\n1,HR-001,,\r\n,HR-002,,\r\n"
    lines, problems = read_cells(text, "back.csv", [Column(name="tag", meaning="the tag")], more_columns=True)
    assert not problems
    assert [line.values for line in lines] == [{"tag": "HR-001"}, {"tag": "HR-002"}]


def test_sentences_below_a_table_that_was_written_here_are_no_lines_of_it() -> None:
    table = ToldTable(
        title="Items",
        columns=(TableColumn(name="tag", head="tag"), TableColumn(name="item", head="item")),
        groups=one_group([("HR-001", "kettle")]),
    )
    text = table_csv(table, ("=1+1, as of today", "3 items, perhaps more, are not listed.")).decode()
    lines, problems = read_cells(
        text, "list.csv", [Column(name="tag", meaning="the tag", required=True)], more_columns=True
    )
    assert [line.values for line in lines] == [{"tag": "HR-001"}]
    assert [*problems, *(problem for line in lines for problem in line.problems)] == []
