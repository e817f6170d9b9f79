"""What a table leaves in doubt of a reading is never read so that more passes: it is asked about, or the cell is refused."""

from pathlib import Path

import pytest
from msgspec.structs import replace
from xlsxwriter import Workbook

from appreg.core.values.readings import Unit
from appreg.errors import InputRefused
from appreg.exchange.cell_figures import reading_of
from appreg.exchange.cell_units import unit_named
from appreg.exchange.column_mapping import Asks, ColumnMapping, Layout
from appreg.exchange.head_words import head_of
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapped_rows import mapped_rows
from appreg.exchange.mapping_file import mapping_text, read_mapping
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.mapping_told import (
    asked_of_new,
    days_against,
    with_answers,
    with_constant,
    with_every_column,
    with_field,
    with_reading,
)
from appreg.exchange.source_file import Source, read_source


def source_of(folder: Path, *lines: str) -> Source:
    (folder / "table.csv").write_text("\n".join(lines) + "\n", "utf-8")
    return read_source(folder / "table.csv")


def guessed(source: Source) -> ColumnMapping:
    return guess_mapping(source, ImportKind.RESULTS, Layout.WIDE)


def read(source: Source, mapping: ColumnMapping | None = None) -> list[dict[str, str]]:
    return [row.values for row in mapped_rows(source, mapping or guessed(source))]


def sentences(source: Source) -> str:
    return " ".join(each.sentence for row in mapped_rows(source, guessed(source)) for each in row.problems)


def asked(mapping: ColumnMapping) -> list[tuple[int, Asks]]:
    return [(each.position, each.asks) for each in mapping.problems]


@pytest.mark.parametrize(
    ("head", "unit"),
    [
        ("Insulation (kOhms)", "kΩ"),
        ("Insulation (KΩ)", "kΩ"),
        ("Insulation Kilohms", "kΩ"),
        ("Insulation kOhm @500V", "kΩ"),
        ("Insulation (MΩ) @ 500 V", "MΩ"),
        ("Insulation @ 500 V", ""),
        ("INSULATION (MOHM)", "MΩ"),
        ("Earth (Milliohms)", "mΩ"),
        ("Leakage (Amps)", "A"),
        ("Leakage (microA)", "µA"),
        ("RCD trip time (seconds)", "s"),
        ("RCD trip time [msec]", "ms"),
    ],
)
def test_a_unit_is_known_however_it_is_spelled(head: str, unit: str) -> None:
    assert head_of(head).unit == unit


def test_milli_and_mega_are_told_apart_wherever_they_are_said() -> None:
    assert [unit_named(each) for each in ("mohm", "Mohm", "MOHMS", "milliohms", "MEGOHMS")] == [
        "mΩ",
        "MΩ",
        "MΩ",
        "mΩ",
        "MΩ",
    ]
    assert [unit_named(each) for each in ("mA", "MA", "mS", "S", "M", "m")] == ["mA", "mA", "ms", "S", "M", "m"]


@pytest.mark.parametrize("head", ["Insulation (k?)", "Insulation (kΩm)", "Insulation (M)", "Insulation (ohmmeter)"])
def test_a_unit_that_nobody_knows_is_asked_about(head: str, tmp_path: Path) -> None:
    source = source_of(tmp_path, f"Tag,Date,{head}", "A1,2025-04-03,299")
    assert asked(guessed(source)) == [(3, Asks.UNIT)]


def test_what_stands_in_brackets_and_is_no_unit_asks_nothing(tmp_path: Path) -> None:
    source = source_of(tmp_path, "Tag,Date,Insulation (L-E),Earth (25A)", "A1,2025-04-03,299,0.05")
    assert asked(guessed(source)) == []


def test_a_figure_with_the_other_mark_keeps_the_unit_of_its_column() -> None:
    assert reading_of("850,5", Unit.MEGOHM, "kΩ", ".") == "0.8505"
    assert reading_of("<0,5", Unit.MILLIAMP, "A", ".") == "<500"


def test_a_line_of_units_below_the_heads_belongs_to_them(tmp_path: Path) -> None:
    source = source_of(tmp_path, "Tag,Date,Earth,Insulation", ",,mΩ,kΩ", "A1,2025-04-03,85,500")
    assert read(source) == [{"tag": "A1", "date": "2025-04-03", "earth-continuity": "0.085", "insulation": "0.500"}]


def test_a_third_line_of_heads_may_hold_the_units(tmp_path: Path) -> None:
    lines = ("Tag,Date,Electrical,", ",tested,Earth bond,Insulation", ",,[mΩ],[kΩ]", "A1,2025-04-03,85,500")
    mapping = guessed(source_of(tmp_path, *lines))
    assert (mapping.head_lines, [each.unit for each in mapping.columns[2:]]) == (3, ["mΩ", "kΩ"])


def test_units_in_the_column_beside_go_with_each_reading(tmp_path: Path) -> None:
    source = source_of(
        tmp_path, "Tag,Date,Insulation,Unit", "A1,2025-04-03,500,kΩ", "A2,2025-04-03,>299,MΩ", "A3,2025-04-03,12 MΩ,",
    )  # fmt: skip
    assert [row["insulation"] for row in read(source)] == ["0.500", ">299", "12"]
    again = read_mapping(mapping_text(guessed(source)), "kept.toml")
    assert [row["insulation"] for row in read(source, again)] == ["0.500", ">299", "12"]
    moved = with_field(source, with_field(source, guessed(source), 3, ""), 3, "insulation")
    assert moved.columns[2].units_beside


def test_a_reading_without_a_unit_where_others_have_one_beside_them_is_not_read(tmp_path: Path) -> None:
    source = source_of(
        tmp_path, "Tag,Date,Insulation,Unit", "A1,2025-04-03,500,", "A2,2025-04-03,500,V", "A3,2025-04-03,5,MΩ"
    )
    assert "insulation" not in read(source)[0]
    assert "insulation" not in read(source)[1]
    assert "“500” has no unit beside it; fill it in." in sentences(source)


@pytest.mark.parametrize("word", ["NT", "no", "n/t"])
def test_no_test_of_a_device_for_residual_currents_is_not_taken_for_no_trip(word: str, tmp_path: Path) -> None:
    source = source_of(
        tmp_path,
        "Tag,Date,RCD half,RCD x1",
        f"A1,2025-04-03,{word},28",
        "A2,2025-04-03,no trip,28",
        "A3,2025-04-03,none,28",
    )
    assert [row.get("rcd-0.5x") for row in read(source)] == [None, "none", "none"]
    assert "may say that it did not trip, or that it was not tested" in sentences(source)


@pytest.mark.parametrize("head", ["Visual fault", "Visual defects?", "Visual failed", "Damage (visual)"])
def test_a_yes_to_what_is_wrong_is_no_pass(head: str, tmp_path: Path) -> None:
    source = source_of(tmp_path, f"Tag,Date,{head},Earth", "A1,2025-04-03,yes,0.05", "A2,2025-04-03,no,0.05")
    assert ["visual" in row for row in read(source)] == [False, False]


def test_a_pass_or_fail_in_one_head_is_an_answer(tmp_path: Path) -> None:
    source = source_of(tmp_path, "Tag,Date,Visual (pass/fail)", "A1,2025-04-03,pass")
    assert read(source)[0]["visual"] == "ok"


@pytest.mark.parametrize("heads", ["Insulation L,Insulation N", "Insulation,Insulation", "Earth bond,Earth continuity"])
def test_of_two_columns_of_one_check_none_is_passed_over_unasked(heads: str, tmp_path: Path) -> None:
    source = source_of(tmp_path, f"Tag,Date,{heads}", "A1,2025-04-03,5,0.2")
    mapping = guessed(source)
    assert mapping.problems
    assert {each.asks for each in mapping.problems} == {Asks.FIELD}
    for problem in mapping.problems:
        mapping = with_field(source, mapping, problem.position, "")
    assert not mapping.problems


@pytest.mark.parametrize(
    ("head", "method"),
    [
        ("Touch current (mA)", "touch"),
        ("Substitute leakage", "substitute"),
        ("PE current (mA)", "protective-conductor"),
        ("Leakage", None),
    ],
)
def test_how_leakage_was_measured_is_taken_from_its_head(head: str, method: str | None, tmp_path: Path) -> None:
    assert read(source_of(tmp_path, f"Tag,Date,{head}", "A1,2025-04-03,0.4"))[0].get("leakage_method") == method


def test_how_leakage_was_measured_is_taken_from_the_name_of_the_test(tmp_path: Path) -> None:
    source = source_of(
        tmp_path, "Tag,Date,Test,Reading,Unit", "A1,2025-04-03,Touch current,0.4,mA", "A2,2025-04-03,PE current,0.4,mA",
        "A2,2025-04-03,Touch current,0.1,mA",
    )  # fmt: skip
    rows = list(mapped_rows(source, guess_mapping(source, ImportKind.RESULTS)))
    assert [row.values["leakage_method"] for row in rows] == ["touch", "protective-conductor"]
    assert "another way of measuring" in rows[1].problems[0].sentence


def test_no_word_stands_for_a_reading_that_nobody_took(tmp_path: Path) -> None:
    source = source_of(tmp_path, "Tag,Date,Insulation", "A1,2025-04-03,pass", "A2,2025-04-03,HI", "A3,2025-04-03,12")
    text = mapping_text(with_field(source, guessed(source), 3, "insulation"))
    told = read_mapping(f'{text}[column.values]\n"pass" = "200"\n"HI" = ">20"\n', "kept.toml")
    rows = list(mapped_rows(source, told))
    assert [row.values.get("insulation") for row in rows] == [None, ">20", "12"]
    assert "“pass” is no reading" in rows[0].problems[0].sentence


def test_no_reading_is_the_same_on_every_line(tmp_path: Path) -> None:
    text = mapping_text(guessed(source_of(tmp_path, "Tag,Date", "A1,2025-04-03")))
    with pytest.raises(InputRefused, match="is a reading, which is taken on each item anew"):
        read_mapping(text.replace("[[column]]", '[constants]\n"insulation" = "200"\n\n[[column]]', 1), "kept.toml")


def test_an_empty_answer_is_not_filled_in_for_every_line(tmp_path: Path) -> None:
    source = source_of(tmp_path, "Tag,Date,Visual", "A1,2025-04-03,ok", "A2,2025-04-03,")
    assert ["visual" in row for row in read(source, with_constant(guessed(source), "visual", "ok"))] == [True, False]
    without = source_of(tmp_path, "Tag,Date,Earth", "A1,2025-04-03,0.05")
    assert read(without, with_constant(guessed(without), "visual", "ok"))[0]["visual"] == "ok"


def test_days_that_a_spreadsheet_may_have_turned_round_are_asked_about(tmp_path: Path) -> None:
    file = tmp_path / "days.xlsx"
    book = Workbook(str(file))
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["Tag", "Date", "Next"])
    days = book.add_format({"num_format": "dd/mm/yyyy"})
    # 3 April and 13 April 2025, as a spreadsheet that puts the month first reads them from a table with the day first.
    sheet.write_row(1, 0, ["A1", 45719, "13/04/2026"])
    sheet.write_row(2, 0, ["A2", "13/04/2025", "14/04/2026"])
    sheet.set_column(1, 1, 12, days)
    book.close()
    assert asked(guess_mapping(read_source(file), ImportKind.RESULTS)) == [(2, Asks.DATE_ORDER)]


def test_a_day_as_spreadsheets_count_them_is_told_as_one(tmp_path: Path) -> None:
    source = source_of(tmp_path, "Tag,Date", "A1,45720", "A2,2025-04-03")
    told = with_field(source, guessed(source), 2, "date")
    assert "“45720” may be a day as spreadsheets count them" in next(mapped_rows(source, told)).problems[0].sentence


def test_a_check_of_which_most_cells_cannot_be_read_is_asked_about_unless_all_of_them_pass(tmp_path: Path) -> None:
    heads = "Tag,Date,Visual,Earth (ohm),Insulation"
    odd = source_of(
        tmp_path, heads, "A1,2025-04-03,ok,-0.01,pass", "A2,2025-04-03,ok,fail,pass", "A3,2025-04-03,ok,OL,pass"
    )
    assert asked(guessed(odd)) == [(4, Asks.FIELD)]
    assert "most of its cells cannot be read" in guessed(odd).problems[0].sentence


def test_the_name_of_a_test_may_say_at_what_it_was_made(tmp_path: Path) -> None:
    lines = [f"A1,2025-04-03,{test},{value}" for test, value in (
        ("Earth Bond (25 A)", "85 mOhm"), ("Insulation @ 500 V d.c.", "500 kOhm"), ("Touch current", "0.1"), ("RCD 1x", "28"),
    )]  # fmt: skip
    mapping = guess_mapping(source_of(tmp_path, "Tag,Date,Test,Value", *lines))
    assert mapping.layout is Layout.LONG
    (row,) = mapped_rows(source_of(tmp_path, "Tag,Date,Test,Value", *lines), mapping)
    assert row.problems == ()
    assert [row.values[each] for each in ("earth-continuity", "insulation", "leakage", "rcd-1x")] == [
        "0.085",
        "0.500",
        "0.1",
        "28",
    ]


def test_a_name_that_may_be_two_checks_is_none(tmp_path: Path) -> None:
    tests = ("Leakage and insulation,0.1", "IR,200", "Visual,ok")
    source = source_of(tmp_path, "Tag,Date,Test,Value", *(f"A1,2025-04-03,{each}" for each in tests))
    (row,) = mapped_rows(source, guess_mapping(source, ImportKind.RESULTS, Layout.LONG))
    assert "is no check that is known" in row.problems[0].sentence


@pytest.mark.parametrize("head", ["", "Bench", "QA"])
def test_a_column_of_passes_and_fails_is_not_passed_over(head: str, tmp_path: Path) -> None:
    source = source_of(tmp_path, f"Tag,Date,Earth,{head}", "A1,2025-04-03,0.05,Pass", "A2,2025-04-03,0.05,FAIL")
    assert asked(guessed(source)) == [(4, Asks.FIELD)]
    beside = source_of(tmp_path, f"Tag,Date,Earth,{head},Outcome", "A1,2025-04-03,0.05,Pass,Pass")
    assert asked(guessed(beside)) == []


def test_a_test_without_a_unit_where_others_have_one_is_not_read(tmp_path: Path) -> None:
    tests = ("Visual,,,Pass", "IR,200,,Pass", "Leakage,0.1,mA,Fail")
    source = source_of(tmp_path, "Tag,Date,Test,Value,Unit,Status", *(f"A1,2025-04-03,{each}" for each in tests))
    (row,) = mapped_rows(source, guess_mapping(source, ImportKind.RESULTS))
    assert [each.what for each in row.problems] == ["“200” of insulation has no unit beside it"]
    assert row.values["outcome"] == "fail"


@pytest.mark.parametrize(("first", "later", "decimal"), [("12.5", "1,250", "."), ("12,5", "1.250", ",")])
def test_a_mark_that_a_kept_mapping_has_not_met_is_not_taken_for_one_between_thousands(
    first: str, later: str, decimal: str, tmp_path: Path
) -> None:
    mapping = guessed(source_of(tmp_path, "Tag;Date;Insulation", f"A1;2025-04-03;{first}"))
    assert mapping.decimal == decimal
    source = source_of(tmp_path, "Tag;Date;Insulation", f"A1;2025-04-03;{later}", f"A2;2025-04-03;{first}")
    assert "insulation" not in read(source, mapping)[0]
    told = with_reading(mapping, 3, unit="", decimal=decimal, date_order=None, values={}, answers=())
    assert read(source, told)[0]["insulation"] == "1250"


@pytest.mark.parametrize(("cells", "decimal"), [(("0,75", "1.250", "0.75"), ","), (("0.75", "1,250"), ".")])
def test_no_lead_is_a_thousand_times_as_long_whichever_mark_was_named(
    cells: tuple[str, ...], decimal: str, tmp_path: Path
) -> None:
    source = source_of(tmp_path, "Tag;Item;Cord length (m)", *(f"A{at};Kettle;{cell}" for at, cell in enumerate(cells)))
    mapping = with_answers(guess_mapping(source, ImportKind.ITEMS), date_order=None, decimal=decimal)
    rows = list(mapped_rows(source, mapping))
    assert [row.values.get("cord_length_m") for row in rows][:2] == ["0.75", None]
    assert [each.what for row in rows for each in row.problems] == [
        f"“{cells[1]}” may have a mark before decimals or between thousands"
    ]


def test_a_check_that_a_kept_mapping_has_not_met_is_asked_about(tmp_path: Path) -> None:
    kept = replace(guessed(source_of(tmp_path, "Tag,Date,Insulation,Bench", "A1,2025-04-03,200,3")), name="kept")
    assert asked_of_new(source_of(tmp_path, "Date,Tag,Insulation,Bench", "2025-04-03,A1,200,3"), kept) == ()
    later = source_of(tmp_path, "Tag,Insulation N,Date,Insulation,Bench,Note", "A1,0.2,2025-04-03,200,3,no")
    assert [(each.column, each.asks) for each in asked_of_new(later, kept)] == [("Insulation N", Asks.FIELD)]
    assert asked(with_every_column(later, kept)) == [(2, Asks.FIELD)]


def test_days_that_go_against_a_kept_mapping_are_asked_about(tmp_path: Path) -> None:
    kept = replace(guessed(source_of(tmp_path, "Tag,Date,Earth", "A1,13/04/2025,0.05")), name="kept")
    assert days_against(source_of(tmp_path, "Tag,Date,Earth", "A1,03/04/2025,0.05"), kept) == ()
    later = source_of(tmp_path, "Date,Tag,Earth", "04/13/2025,A1,0.05", "03/04/2025,A2,0.05")
    assert [(each.column, each.asks) for each in days_against(later, kept)] == [("Date", Asks.DATE_ORDER)]
    assert asked(with_every_column(later, kept)) == [(1, Asks.DATE_ORDER)]
