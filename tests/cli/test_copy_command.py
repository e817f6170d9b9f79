"""`appreg copy` moves a whole register between files and databases, and only a sound one to where nothing is."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import open_register
from tests.cli.conftest import Call
from tests.register.sample_register import all_of, build_register


def test_a_register_goes_over_and_comes_back_as_it_was(call: Call, place: Place, tmp_path: Path) -> None:
    first, back = tmp_path / "first.sqlite", tmp_path / "back.sqlite"
    build_register(first).close()
    over = call("copy", str(first), str(place), "--json")
    assert over.code == 0
    assert isinstance(over.json, dict)
    assert (over.json["register"], over.json["sound"]) == (str(place), True)
    assert "Go on with one of the two only" in str(over.json["advice"])
    again = call("copy", str(place), str(back))
    assert again.code == 0
    assert f"Open it with: appreg --register {back}\nGo on with one of the two only" in again.out
    with open_register(first) as one, open_register(back) as other:
        assert all_of(one) == all_of(other)
    with open_register(place) as over_there:
        assert list(problems(over_there)) == []


def test_a_copy_where_another_register_stood_is_what_was_wanted_there(call: Call, tmp_path: Path) -> None:
    first, second = tmp_path / "first.sqlite", tmp_path / "second.sqlite"
    assert [call("new", str(each)).code for each in (first, second)] == [0, 0]
    assert call("--register", str(second), "due").code == 0
    second.unlink()
    shutil.rmtree(tmp_path / "second.copies", ignore_errors=True)
    assert call("copy", str(first), str(second)).code == 0
    opened = call("--register", str(second), "due")
    assert (opened.code, opened.err) == (0, "")


def test_nothing_is_copied_over_what_is_there(call: Call, tmp_path: Path) -> None:
    first, other = tmp_path / "first.sqlite", tmp_path / "other.sqlite"
    build_register(first).close()
    other.write_text("somebody's")
    refused = call("copy", str(first), str(other))
    assert refused.code == 2
    assert other.read_text() == "somebody's"


def test_a_register_that_is_not_sound_is_not_copied(call: Call, place: Place, tmp_path: Path) -> None:
    first = tmp_path / "first.sqlite"
    build_register(first).close()
    with closing(sqlite3.connect(first)) as raw:
        raw.execute("UPDATE client SET name = 'Other'")
        raw.commit()
    refused = call("copy", str(first), str(place))
    assert refused.code == 1
    assert "is not sound" in refused.err
    assert not isinstance(place, Path) or not place.exists()


def test_what_has_to_be_said_of_a_register_is_said_before_it_is_copied(call: Call, tmp_path: Path) -> None:
    first, second = tmp_path / "first.sqlite", tmp_path / "second.sqlite"
    assert call("new", str(first)).code == 0
    assert call("--register", str(first), "due").code == 0
    first.unlink()
    shutil.rmtree(tmp_path / "first.copies", ignore_errors=True)
    build_register(first).close()
    copied = call("copy", str(first), str(second))
    assert copied.code == 0
    assert "is another register than the one this machine knows there" in copied.err
