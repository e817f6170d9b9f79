"""A register that may not be written to opens to be read, shows what was saved last, and has nothing left beside it."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Client
from appreg.errors import RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.engine import file_opening
from appreg.register.engine.file_engine import FileEngine
from appreg.register.opening import migrations
from appreg.register.opening.register_file import Register, open_register, opened_register
from appreg.register.schema import file_marks
from appreg.register.schema.later_tables import MIGRATIONS
from tests.register.sample_register import CLIENT, build_register


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A register in a folder of its own."""
    path = tmp_path / "folder" / "r.appreg"
    build_register(path).close()
    return path


@pytest.fixture
def only_read(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """Have everything look as it does to somebody who may only read, whoever runs the tests."""

    def begin() -> None:
        monkeypatch.setattr(file_opening, "_may_write", lambda _path: False)

    return begin


def saved(path: Path, notes: str) -> Register:
    register = open_register(path)
    with register.change("Sam") as change:
        change.put(replace(CLIENT, notes=notes))
    return register


def names_in(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


def abandoned(path: Path, *ends: str) -> Path:
    """A register as a crash leaves it: its last changes in its -wal alone."""
    crashed = path.parent.with_name("crashed") / path.name
    crashed.parent.mkdir()
    with saved(path, "in the log"):
        for end in ("", *ends):
            shutil.copyfile(f"{path}{end}", f"{crashed}{end}")
    return crashed


def test_what_may_only_be_read_opens_says_why_and_refuses_to_save(path: Path, only_read: Callable[[], None]) -> None:
    only_read()
    before = path.read_bytes()
    with open_register(path) as register:
        assert register.read_only == "the file may not be written to"
        assert register.get(Client, CLIENT.uid) == CLIENT
        assert list(problems(register)) == []
        with (
            pytest.raises(RegisterUnusable, match=r"open to read only, as the file may not be .*: nothing was saved"),
            register.change("Sam") as change,
        ):
            change.put(CLIENT)
        register.tune()
        with register.reopen() as own:
            assert own.find(Client) == [CLIENT]
    assert path.read_bytes() == before
    assert names_in(path.parent) == ["r.appreg"]


@pytest.mark.parametrize("ends", [("-wal",), ("-wal", "-shm")])
def test_what_a_crash_left_beside_it_is_read_and_stays(
    ends: tuple[str, ...], path: Path, only_read: Callable[[], None], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    crashed = abandoned(path, *ends)
    before = {each.name: each.read_bytes() for each in crashed.parent.iterdir()}
    (tmp_path / "temporary").mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "temporary"))
    only_read()
    with open_register(crashed) as register:
        assert register.get(Client, CLIENT.uid).notes == "in the log"
        assert list(problems(register)) == []
    assert {each.name: each.read_bytes() for each in crashed.parent.iterdir()} == before
    assert names_in(tmp_path / "temporary") == []


def test_what_another_desk_saves_meanwhile_is_seen(path: Path, only_read: Callable[[], None]) -> None:
    writer = saved(path, "first")
    only_read()
    with open_register(path) as beside_it:
        for notes in ("second", "third"):
            with writer.change("Ann") as change:
                change.put(replace(CLIENT, notes=notes))
            assert beside_it.get(Client, CLIENT.uid).notes == notes
        writer.close()
        assert beside_it.get(Client, CLIENT.uid).notes == "third"


def test_what_another_desk_saves_into_a_register_opened_before_is_seen(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as only_read:
        only_read.setattr(file_opening, "_may_write", lambda _path: False)
        reader = open_register(path)
    seen = []
    for notes in ("first", "second"):
        with saved(path, notes), monkeypatch.context() as only_read:
            only_read.setattr(file_opening, "_may_write", lambda _path: False)
            seen.append(reader.get(Client, CLIENT.uid).notes)
        with monkeypatch.context() as only_read:
            only_read.setattr(file_opening, "_may_write", lambda _path: False)
            seen.append(reader.get(Client, CLIENT.uid).notes)
    assert seen == ["first", "first", "second", "second"]
    reader.close()


def test_an_older_register_that_may_only_be_read_is_said_in_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, only_read: Callable[[], None]
) -> None:
    path = tmp_path / "old" / "old.appreg"
    with monkeypatch.context() as older:
        older.setattr(migrations, "MIGRATIONS", MIGRATIONS[:1])
        older.setattr(migrations, "NEWEST", 1)
        older.setattr(file_marks, "NEWEST", 1)
        open_register(path).close()
    only_read()
    with pytest.raises(RegisterUnusable, match="of an older appreg and cannot be brought up to date, as the file may"):
        open_register(path)
    assert names_in(path.parent) == ["old.appreg"]


@pytest.mark.parametrize("copied", [False, True])
def test_what_is_to_be_read_as_one_state_is_never_two(
    copied: bool, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as only_read:
        only_read.setattr(file_opening, "_may_write", lambda _path: False)
        reader = open_register(path)
        if copied:
            assert isinstance(reader.engine, FileEngine)
            whole = reader
            reader = opened_register(reader.engine.copied())
            whole.close()
    with reader:
        reader.engine.hold()
        assert reader.get(Client, CLIENT.uid) == CLIENT
        saved(path, "meanwhile").close()
        if copied:
            assert reader.get(Client, CLIENT.uid) == CLIENT
        else:
            with pytest.raises(RegisterUnusable, match="being written by another program"):
                reader.get(Client, CLIENT.uid)
        reader.engine.release()
        assert reader.get(Client, CLIENT.uid).notes == "meanwhile"
