"""DEVELOPERS.md tells each table of a register's file, with what it refers to, as the file has it."""

import re
from pathlib import Path

from appreg.register.copies.whole_rows import BOOK_COLUMNS
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import KINDS, KINDS_BY_TABLE

GUIDE = Path(__file__).parents[2] / "DEVELOPERS.md"
SEARCHED = "appliance_text"


def told(register: Register, table: str) -> str:
    """The line of a table: its record, what that is, and the tables that it refers to."""
    kind = KINDS_BY_TABLE[table]
    what = (kind.record.__doc__ or "").strip().partition("\n")[0].rstrip(".")
    keys = register.rows('SELECT "from", "table" FROM pragma_foreign_key_list(?) ORDER BY seq, "from"', (table,))
    refers = ", ".join(f"{column} → {other}" if column != other else column for column, other in sorted(keys))
    return f"| {table} | {kind.record.__name__} | {what} | {refers} |"


def test_each_table_of_a_file_is_told_as_it_is(tmp_path: Path) -> None:
    section = GUIDE.read_text(encoding="utf-8").partition("### The tables\n")[2].partition("\n#")[0]
    lines = {line for line in section.splitlines() if line.startswith("| ")}
    with open_register(tmp_path / "r.sqlite") as register:
        expected = [told(register, kind.table) for kind in KINDS.values()]
        names = {
            name
            for (name,) in register.rows("SELECT name FROM sqlite_master WHERE type = 'table'")
            if not name.startswith(SEARCHED)
        }
    assert [line for line in expected if line not in lines] == []
    told_names = {line.split("|")[1].strip() for line in lines if not line.startswith("| table ")}
    assert told_names == {*KINDS_BY_TABLE, *BOOK_COLUMNS} == names
    assert SEARCHED in section
    for name, columns in BOOK_COLUMNS.items():
        (line,) = [each for each in lines if each.startswith(f"| {name} |")]
        assert set(columns) <= set(re.findall(r"\w+", line)), name
