"""Tables as they are told: sums exact, files with the groups' heads before each row and without sums."""

from datetime import date
from decimal import Decimal as D

from appreg.core.values.told_tables import (
    CellKind,
    TableColumn,
    TableGroup,
    ToldTable,
    file_columns,
    file_rows,
    one_group,
    sums_of,
    sums_of_all,
)

COLUMNS = (
    TableColumn(name="tag", head="tag", kind=CellKind.TAG),
    TableColumn(name="metres", head="cord", unit="m", kind=CellKind.NUMBER, summed=True),
    TableColumn(name="due", head="due", kind=CellKind.DATE),
)
GROUPS = (
    TableGroup(head="Hall", rows=(("HR-1", D("0.1"), date(2027, 1, 2)), ("HR-2", D("0.2"), None))),
    TableGroup(head="Attic", rows=(("HR-3", 3, None), ("HR-4", None, None))),
)
BY_ROOM = ToldTable(title="Cords", columns=COLUMNS, groups=GROUPS, grouped_by=TableColumn(name="room", head="room"))


def test_sums_are_exact_and_pass_over_what_is_no_number() -> None:
    assert sums_of(COLUMNS, GROUPS[0].rows) == (None, D("0.3"), None)
    assert sums_of(COLUMNS, ()) == (None, 0, None)
    assert sums_of_all(BY_ROOM) == (None, D("3.3"), None)
    assert BY_ROOM.count == 4


def test_a_file_has_the_groups_heads_in_a_column_of_their_own() -> None:
    assert [column.name for column in file_columns(BY_ROOM)] == ["room", "tag", "metres", "due"]
    assert [row[:2] for row in file_rows(BY_ROOM)] == [
        ("Hall", "HR-1"),
        ("Hall", "HR-2"),
        ("Attic", "HR-3"),
        ("Attic", "HR-4"),
    ]


def test_a_table_without_groups_has_its_own_columns_alone() -> None:
    plain = ToldTable(title="Cords", columns=COLUMNS, groups=one_group(GROUPS[0].rows))
    assert file_columns(plain) == COLUMNS
    assert list(file_rows(plain)) == list(GROUPS[0].rows)
