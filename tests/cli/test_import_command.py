"""`appreg import`: a list told first, then taken in; what is left out goes into a table that is mended and imported again."""

import csv
import shutil
from pathlib import Path

import pytest

from appreg.core.records.kept_records import Appliance
from tests.cli.conftest import Call
from tests.tasks.worked_site import WorkedSite

FAULTS = {
    4: ("Fuse (A)", "thirteen"),
    9: ("Asset tag", "HR-0007-FAR-TOO-LONG-FOR-A-LABEL"),
    12: ("Class", "seven"),
    20: ("Asset tag", "HR-130"),
    33: ("Power (W)", "-5"),
}
"""By line of the list: the column and the cell that is at fault."""


@pytest.fixture
def listed(row: WorkedSite, tmp_path: Path) -> Path:
    """A spreadsheet of sixty items with five faulty rows."""
    del row
    heads = ["Asset tag", "Description", "Room", "Class", "Fuse (A)", "Power (W)"]
    lines = [[f"HR-{100 + at}", "Desk lamp", f"Room {at % 7}", "2", "3", "60"] for at in range(60)]
    for line, (head, cell) in FAULTS.items():
        lines[line - 2][heads.index(head)] = cell
    path = tmp_path / "list.csv"
    with path.open("w", newline="") as out:
        csv.writer(out).writerows([heads, *lines])
    return path


def count(row: WorkedSite) -> int:
    return len(row.register.find(Appliance))


def test_a_list_with_five_faults_becomes_a_site_in_two_goes(
    row: WorkedSite, call: Call, listed: Path, tmp_path: Path
) -> None:
    before, mend = count(row), tmp_path / "mend.csv"
    told = call("import", listed, "--site", "HR", "--problems-to", mend, "--save-mapping", "Yearly list")
    assert (told.code, count(row)) == (1, before)
    assert "60 rows: 55 new, 1 in conflict, 4 unreadable." in told.out
    assert "Nothing was imported yet; add --apply." in told.out
    for line, (head, _) in FAULTS.items():
        if line != 20:
            assert f"line {line}, " in told.out
            assert head in told.out
    done = call("import", listed, "--site", "HR", "--apply")
    assert "by the mapping “Yearly list”" in done.out
    assert count(row) == before + 55
    with mend.open(newline="") as file:
        heads, *rows = csv.reader(file)
    assert [cells[6] for cells in rows] == [str(at) for at in (*sorted(FAULTS)[:3], 32, 33)]
    assert all(cells[7] and cells[8] for cells in rows)
    right = {"Class": "2", "Fuse (A)": "3", "Power (W)": "60"}
    for at, cells in enumerate(rows):
        cells[0] = f"HR-{300 + at}"
        for head, cell in right.items():
            cells[heads.index(head)] = cell
    with mend.open("w", newline="") as file:
        csv.writer(file).writerows([heads, *rows])
    mended = call("import", mend, "--site", "HR", "--apply")
    assert (mended.code, count(row)) == (0, before + 60)
    assert "by the mapping “Yearly list”" in mended.out
    again = call("import", mend, "--site", "HR", "--apply")
    assert "Nothing was changed" in again.out
    assert count(row) == before + 60


def test_a_watched_folder_tells_each_new_table_and_how_to_look_at_it_and_takes_none(
    row: WorkedSite, call: Call, listed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, folder = count(row), tmp_path / "down loads"
    folder.mkdir()
    listed.rename(folder / "list.csv")
    pauses = iter((lambda: None, lambda: None, lambda: shutil.rmtree(folder), lambda: None))

    def pause(_seconds: float) -> None:
        step = next(pauses, None)
        if step is None:
            raise KeyboardInterrupt
        step()

    monkeypatch.setattr("appreg.cli.import_watch.sleep", pause)
    told = call("import", "--watch", folder)
    assert told.code == 0
    assert "list.csv is new: items, its columns guessed, as no kept mapping fits." in told.out
    assert f"appreg import '{folder}/list.csv'\n" in told.out
    assert told.err.count("cannot be read") == 1
    assert count(row) == before
    assert call("import", "--watch", folder).err.endswith("is no folder that could be watched; name one.\n")
    assert call("import", "--watch", tmp_path, "--apply").code == 2


def test_what_a_table_leaves_open_is_asked_and_answered_by_options(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    del row
    table = tmp_path / "results.csv"
    table.write_text('Tag;Date;Tested by;Insulation\nHR-001;3/4/26;WA;"1,234"\n', "utf-8")
    asked = call("import", table)
    assert asked.code == 2
    assert "may have day or month first" in asked.err
    assert "commas that may stand before decimals" in asked.err
    assert "--dates says in which order. --decimal says which mark." in asked.err
    told = call("import", table, "--dates", "day-month-year", "--decimal", "comma")
    assert "New visit: 03 Apr 2026" in told.out
    table.write_text("Tag;Date;Tested by\nHR-001;30/4/26;WA\nHR-001;31/03/2026;WA\n", "utf-8")
    assert (
        "are day-month-year; leave it out" in call("import", table, "--as", "results", "--dates", "month-day-year").err
    )


def test_lines_taken_for_sums_are_told(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    del row
    table = tmp_path / "list.csv"
    table.write_text("Asset tag,Description,Room\nHR-901,Kettle,Hall\nTotal,1,\n", "utf-8")
    told = call("import", table, "--site", "HR")
    assert "Taken for sums or heads, not for rows: line 3." in told.out
    assert "1 row: 1 new." in told.out
