"""`appreg backup` and `appreg restore`: what they write, say and refuse, and their exit codes."""

import sqlite3
import sys
from contextlib import closing
from io import StringIO
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.cli import opening
from appreg.cli.console import Console
from appreg.core.records.kept_records import Client
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.list_copies import copies_folder
from appreg.tasks.keeping.restore_copy import named_copy, prepare_restore
from appreg.ui.app import AppregApp
from tests.cli.conftest import Call
from tests.tasks.worked_site import WorkedSite, combined


@pytest.fixture
def closed(row: WorkedSite, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The register, which nobody has open."""
    monkeypatch.setenv("APPREG_SETTINGS", str(tmp_path / "settings.toml"))
    last = row.register.last_instant()
    monkeypatch.setattr(opening, "system_clock", lambda: last)
    row.register.close()
    return row.register.path


def lines_of(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return int(connection.execute("SELECT count(*) FROM journal").fetchone()[0])


def test_a_backup_says_file_size_and_line_and_a_second_one_goes_over_nothing(
    closed: Path, call: Call, tmp_path: Path
) -> None:
    out = tmp_path / "copy.sqlite"
    answer = call("backup", out)
    assert answer.code == 0
    size, line = out.stat().st_size, lines_of(out)
    assert answer.out.startswith(f"{out}: a whole copy, checked; {size} bytes, up to line {line} of the journal (")
    again = call("backup", out, "--json")
    assert again.code == 2
    assert "never overwritten" in again.err
    assert call("--register", out, "verify").code == 0
    assert call("--register", closed, "verify").code == 0


def test_without_a_file_it_goes_among_the_kept_copies_which_are_listed(closed: Path, call: Call) -> None:
    assert "No copy of" in call("restore", "--list").out
    made = call("backup", "--json").json
    assert isinstance(made, dict)
    assert Path(str(made["file"])).parent == copies_folder(closed)
    assert made["sound"] is True
    listed = call("restore", "--list", "--json").json
    assert isinstance(listed, dict)
    (copy,) = listed["copies"]
    assert (copy["file"], copy["line"], copy["bytes"]) == (made["file"], made["line"], made["bytes"])
    table = call("restore", "--list").out
    assert str(made["line"]) in table
    assert "found sound when made" in table


def test_the_backup_of_a_damaged_register_is_written_and_its_exit_code_is_1(
    closed: Path, call: Call, tmp_path: Path
) -> None:
    with closing(sqlite3.connect(closed, isolation_level=None)) as connection:
        connection.execute("UPDATE client SET name = 'forged'")
    out = tmp_path / "copy.sqlite"
    answer = call("backup", out)
    assert answer.code == 1
    assert "1 problem" in answer.out
    refused = call("restore", out, "--yes")
    assert refused.code == 1
    assert "is damaged" in refused.err


def test_a_restore_tells_what_the_copy_lacks_and_where_the_register_is_now(
    closed: Path, call: Call, row: WorkedSite
) -> None:
    call("backup")
    with open_register(closed) as register:
        row.register = register
        row.record(row.kettle(), combined())
        held = lines_of(closed)
    answer = call("restore", "latest", "--yes")
    assert answer.code == 0
    assert "1 new item and 1 inspection among them" in answer.out
    assert "Missing would be HR-004 Kettle: added." in answer.out
    (aside,) = copies_folder(closed).glob("*-set-aside.sqlite")
    assert str(aside) in answer.out
    assert lines_of(aside) == held
    assert lines_of(closed) < held
    assert call("verify").code == 0


def test_a_restore_asks_a_person_and_needs_yes_where_there_is_none(
    closed: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    call("backup")
    before = closed.read_bytes()
    monkeypatch.setattr(sys, "stdin", StringIO(""))
    answer = call("restore", "latest")
    assert answer.code == 2
    assert "--yes" in answer.err
    for typed, code in (("no\n", 1), ("", 1), ("yes\n", 0)):
        terminal = StringIO(typed)
        monkeypatch.setattr(terminal, "isatty", lambda: True, raising=False)
        monkeypatch.setattr(sys, "stdin", terminal)
        answer = call("restore", "latest")
        assert answer.code == code
        assert f"Put it in the place of {closed}?" in answer.err
        assert ("Nothing was changed." in answer.out) is (code == 1)
        assert (copies_folder(closed) / "x").exists() is False
        assert bool(list(copies_folder(closed).glob("*-set-aside.sqlite"))) is (code == 0)
        if code:
            assert closed.read_bytes() == before
    assert not [each for each in copies_folder(closed).iterdir() if each.name.startswith(".")]


def test_a_restore_in_json_names_everything(closed: Path, call: Call) -> None:
    call("backup")
    told = call("restore", "latest", "--yes", "--json").json
    assert isinstance(told, dict)
    assert (told["lacking"]["standing"], told["lacking"]["lines"]) == ("the same", 0)
    assert Path(str(told["set_aside"])).is_file()
    assert told["register"] == str(closed)


def test_a_restore_needs_one_copy_or_the_list(closed: Path, call: Call) -> None:
    assert call("restore").code == 2
    assert call("restore", "latest", "--list").code == 2
    assert call("restore", "latest", "--yes").code == 1
    missing = call("restore", closed.with_name("nothing"), "--yes")
    assert missing.code == 1
    assert "--list" in missing.err


def test_an_open_register_is_not_replaced(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    out = tmp_path / "copy.sqlite"
    assert call("backup", out).code == 0
    answer = call("restore", out, "--yes")
    assert answer.code == 1
    assert "in use" in answer.err
    assert row.register.find(type(row.client)) == [row.client]


def test_a_command_that_wrote_keeps_a_copy_and_one_that_read_does_not(closed: Path, call: Call) -> None:
    call("due")
    assert not copies_folder(closed).exists()
    assert call("move", "HR-001", "brought").code == 0
    (copy,) = copies_folder(closed).iterdir()
    assert lines_of(copy) == lines_of(closed)
    assert call("move", "HR-001", "returned").code == 0
    assert list(copies_folder(closed).iterdir()) == [copy]


def test_a_restore_brings_a_register_where_there_is_none(closed: Path, call: Call, tmp_path: Path) -> None:
    out = tmp_path / "copy.sqlite"
    call("backup", out)
    closed.unlink()
    answer = call("restore", out, "--yes")
    assert answer.code == 0
    assert f"Nothing stands at {closed}." in answer.out
    assert call("verify").code == 0


def test_a_restore_that_was_cut_short_is_explained_and_put_back(closed: Path, call: Call) -> None:
    call("backup")
    before = closed.read_bytes()
    aside = copies_folder(closed) / "2026-11-25T101503Z-set-aside.sqlite"
    closed.with_name(f"{closed.name}.restoring").write_text(f"{aside.name}\n")
    closed.rename(aside)
    for words in (("due",), ("verify",)):
        answer = call(*words)
        assert answer.code == 1
        assert "cut short" in answer.err
        assert "`appreg restore --list` puts it back" in answer.err
    listed = call("restore", "--list")
    assert "is back in its place" in listed.err
    assert closed.read_bytes() == before
    assert call("verify").code == 0


def test_a_question_is_answered_yes_by_nothing_but_yes(monkeypatch: pytest.MonkeyPatch) -> None:
    for typed, meant in (("yes\n", True), ("Y\n", True), ("yess\n", False), ("\n", False), ("", False)):
        monkeypatch.setattr(sys, "stdin", StringIO(typed))
        err = StringIO()
        assert Console(StringIO(), err).ask("Sure \x1b[31m?") is meant
        assert "\x1b" not in err.getvalue()


def test_closing_the_screen_after_work_keeps_a_copy(
    closed: Path, call: Call, monkeypatch: pytest.MonkeyPatch, row: WorkedSite
) -> None:
    def work(app: AppregApp) -> None:
        with app.register.change("Sam") as change:
            change.put(replace(row.client, name="Renamed"))

    monkeypatch.setattr(AppregApp, "run", work)
    assert call().code == 0
    (copy,) = copies_folder(closed).iterdir()
    assert lines_of(copy) == lines_of(closed)
    copies_folder(closed).rename(closed.with_name("elsewhere"))
    copies_folder(closed).write_text("a file in its place")
    work_again = call()
    assert work_again.code == 0
    assert "No copy of the register was kept: " in work_again.err


def test_a_restore_wanted_on_the_screen_is_done_when_it_is_closed(
    closed: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    call("backup")
    held = lines_of(closed)
    copy = named_copy(closed, "latest")

    def work(app: AppregApp) -> None:
        with app.register.change("Sam") as change:
            change.put(Client(uid=change.new_uid(), name="Later"))
        app.restore_wanted = prepare_restore(app.register.path, copy, in_use_here=True)

    monkeypatch.setattr(AppregApp, "run", work)
    answer = call()
    assert answer.code == 0
    assert f"{closed} is the copy now" in answer.out
    assert lines_of(closed) == held
    (aside,) = copies_folder(closed).glob("*-set-aside.sqlite")
    assert lines_of(aside) > held
