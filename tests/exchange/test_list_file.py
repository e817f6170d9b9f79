"""Told tables as CSV: typed cells, text that a spreadsheet would run guarded, one row a row."""

import csv
import io
from datetime import date
from decimal import Decimal as D

from appreg.core.values.told_tables import TableColumn, TableGroup, ToldTable
from appreg.exchange.list_file import table_csv


def test_a_told_table_is_a_file_of_rows_that_a_spreadsheet_runs_nothing_of() -> None:
    table = ToldTable(
        title="Cords",
        columns=(
            TableColumn(name="tag", head="tag"),
            TableColumn(name="metres", head="cord", summed=True),
            TableColumn(name="due", head="due"),
        ),
        grouped_by=TableColumn(name="room", head="room"),
        groups=(TableGroup(head="=1+1", rows=(("[red]", D("0.80"), date(2027, 1, 2)), ("@x", 2, None))),),
    )
    text = table_csv(table).decode()
    assert text.count("\r\n") == 3
    assert list(csv.reader(io.StringIO(text))) == [
        ["room", "tag", "metres", "due"],
        ["'=1+1", "[red]", "0.80", "2027-01-02"],
        ["'=1+1", "'@x", "2", ""],
    ]


def test_sentences_beside_a_table_stand_below_it_in_rows_as_wide_as_the_others() -> None:
    table = ToldTable(
        title="Items",
        columns=(TableColumn(name="tag", head="tag"),),
        grouped_by=TableColumn(name="room", head="room"),
        groups=(TableGroup(head="Hall", rows=(("HR-001",),)),),
    )
    told = list(csv.reader(io.StringIO(table_csv(table, ("=1+1", 'Two, "more".')).decode(), newline="")))
    assert told == [
        ["room", "tag", "said"],
        ["Hall", "HR-001", ""],
        ["", "", "'=1+1"],
        ["", "", 'Two, "more".'],
    ]
