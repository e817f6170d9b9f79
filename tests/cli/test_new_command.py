"""A new register is made on request alone, where nothing is; no reading command takes a file that holds nothing for one."""

from pathlib import Path
from typing import Any

import pytest

from appreg.core.records.kept_records import Category
from appreg.register.opening.register_file import open_register
from appreg.ui.app import AppregApp
from tests.cli.conftest import Call
from tests.register.journal_alone import last_change


def test_a_new_register_is_made_and_told(tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("APPREG_WHO", "tester")
    path = tmp_path / "folder" / "r.sqlite"
    answer = call("new", path)
    assert answer.code == 0
    assert answer.out.startswith(f"The new register is {path}\n")
    assert f"appreg --register {path}" in answer.out
    assert path.stat().st_mode & 0o777 == 0o600
    with open_register(path, create=False) as register:
        categories = len(register.find(Category))
        change = last_change(register)
    assert change is not None
    assert change.who == "tester"
    assert call("--register", path, "verify").code == 0
    told: Any = call("new", tmp_path / "second", "--json").json
    assert (told["register"], told["categories"]) == (str(tmp_path / "second"), categories)


def test_anything_that_is_there_already_is_left_as_it_is(tmp_path: Path, call: Call) -> None:
    path = tmp_path / "r.sqlite"
    assert call("new", path).code == 0
    (tmp_path / "empty").touch()
    (tmp_path / "link").symlink_to(tmp_path / "nothing")
    before = path.read_bytes()
    for each in (path, tmp_path / "empty", tmp_path / "link", tmp_path):
        answer = call("new", each)
        assert (answer.code, answer.out, answer.err.count("\n")) == (2, "", 1)
        assert "--force" not in answer.err  # which this command does not know
    assert path.read_bytes() == before
    assert (tmp_path / "empty").read_bytes() == b""
    assert not (tmp_path / "nothing").exists()


@pytest.mark.parametrize("content", [b"", b"x", b"\0" * 4096])
def test_no_command_takes_a_file_that_holds_nothing_for_a_register(
    content: bytes, tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[AppregApp] = []
    monkeypatch.setattr(AppregApp, "run", opened.append)
    path = tmp_path / "r.sqlite"
    path.write_bytes(content)
    for words in (
        (), ("due",), ("verify",), ("find", "kettle"), ("show", "HR-001"), ("plan",), ("evidence",), ("demo", "--no-ui"),
        ("move", "HR-001", "issued"), ("print", "register", "--site", "HR", "-o", tmp_path / "out.pdf"), ("demo",),
    ):  # fmt: skip
        answer = call("--register", path, *words)
        assert (answer.code, answer.out, answer.err.count("\n")) == (1, "", 1), words
        assert str(path) in answer.err
    assert opened == []
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_no_register_is_made_where_one_was_removed_and_its_log_was_left(
    tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[AppregApp] = []
    monkeypatch.setattr(AppregApp, "run", opened.append)
    (tmp_path / "r.sqlite-wal").write_bytes(b"records")
    for words in (("--register", tmp_path / "r.sqlite"), ("new", tmp_path / "r.sqlite")):
        answer = call(*words)
        assert answer.code == 1
        assert "r.sqlite-wal of an earlier one" in answer.err
    assert opened == []
    assert [each.name for each in tmp_path.iterdir()] == ["r.sqlite-wal"]
