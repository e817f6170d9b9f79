"""A whole register goes out as JSON Lines and comes back equal, or not at all."""

import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import replace

from appreg.errors import AppregError, InputRefused, RegisterUnusable
from appreg.files import BESIDE
from appreg.given_files import GivenFileRefused
from appreg.progress import Stopped
from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import open_register
from appreg.register.schema.file_marks import NEWEST
from appreg.tasks.keeping.describe_lines import lines_schema
from appreg.tasks.keeping.export_lines import export_lines
from appreg.tasks.keeping.import_lines import import_lines
from tests.register.older_registers import older_lines
from tests.register.sample_register import CLIENT, SITE, all_of, build_register, item

HOSTILE = ("[red]", "=1+1", "Łódź – Ελλάδα", "אבג", "\u2028 two\u0085lines", '"quoted", 7', "x" * 300, "\\n{}")
Lines = list[dict[str, Any]]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The lines of the invented register."""
    folder = tmp_path_factory.mktemp("written")
    with build_register(folder / "one.sqlite") as register:
        export_lines(register, folder / "one.jsonl")
    return folder / "one.jsonl"


def test_a_register_goes_out_and_comes_back_equal_wherever_it_is_kept(place: Place, tmp_path: Path) -> None:
    lines, back = tmp_path / "all.jsonl", tmp_path / "new" / "back.sqlite"
    with build_register(place) as register:
        with register.change("Ann", "names") as change:
            for number, name in enumerate(HOSTILE):
                change.put(replace(item(register, SITE, f"KL-1{number}", name=name), make=name, notes=name))
        told = export_lines(register, lines)
        end = import_lines(lines, back)
        with open_register(back) as other:
            assert all_of(other) == all_of(register)
            assert end == told.end
            assert list(problems(other)) == []
    assert told.lines == len(lines.read_bytes().split(b"\n")) - 1
    assert [each.name for each in back.parent.iterdir()] == [back.name]


def test_what_comes_of_a_register_gives_the_same_lines_again(written: Path, tmp_path: Path) -> None:
    import_lines(written, tmp_path / "back.sqlite")
    with open_register(tmp_path / "back.sqlite") as back:
        export_lines(back, tmp_path / "again.jsonl")
    assert (tmp_path / "again.jsonl").read_bytes() == written.read_bytes()


def test_each_line_says_what_it_is_and_the_last_sums_up_all_before_it(written: Path) -> None:
    texts = written.read_bytes().splitlines(keepends=True)
    head, *_, end = [json.loads(text) for text in texts]
    assert head["format"] == "appreg.register-lines"
    assert sum(table["rows"] for table in head["tables"]) == len(texts) - 2
    assert end["lines"] == len(texts) - 1
    assert end["sha256"] == hashlib.sha256(b"".join(texts[:-1])).hexdigest()


def test_every_line_is_of_the_form_that_the_published_schema_has(written: Path) -> None:
    check = Draft202012Validator(lines_schema(), format_checker=Draft202012Validator.FORMAT_CHECKER)
    lines = [json.loads(text) for text in written.read_bytes().splitlines()]
    assert [error.message for line in lines for error in check.iter_errors(line)] == []
    assert {line.get("table") for line in lines[1:-1]} == {table["table"] for table in lines[0]["tables"]}
    for alter in (
        _altered("client", "name", 7),
        _altered("client", "other", ""),
        _altered("visit", "date", "24.11.2026"),
    ):
        alter(lines)
    assert len([line for line in lines if not check.is_valid(line)]) == 2


def _summed(lines: Lines) -> bytes:
    """The lines with an end that fits them: what somebody writes who knows the form."""
    body = b"".join(json.dumps(each, ensure_ascii=False).encode() + b"\n" for each in lines[:-1])
    end = {"end": "appreg.register-lines", "lines": len(lines) - 1, "sha256": hashlib.sha256(body).hexdigest()}
    return body + json.dumps(end).encode() + b"\n"


def _first(lines: Lines, table: str) -> dict[str, Any]:
    return next(each for each in lines if each.get("table") == table)


def _altered(table: str, column: str, cell: object) -> Callable[[Lines], object]:
    return lambda lines: _first(lines, table)["cells"].update({column: cell})


ALTERED = {
    "a name": (_altered("client", "name", "Other"), "the journal says"),
    "a line of the journal": (_altered("journal", "who", "Nobody"), "journal"),
    "a number out of bounds": (_altered("appliance", "ordinal", 1 << 70), "is not what it should be"),
    "half a number": (_altered("appliance", "ordinal", 1.5), "is not what it should be"),
    "a number for a name": (_altered("client", "name", None), "no register holds"),
    "a cell too many": (_altered("client", "other", "x"), "is no row of client"),
    "a table too many": (lambda lines: lines[0]["tables"].append({"table": "x", "columns": [], "rows": 0}), "columns of x"),
    "a row less": (lambda lines: lines.pop(1), "is no row of client"),
    "another origin": (lambda lines: lines[0].update(origin="0" * 26), "names another origin"),
    "a newer version": (lambda lines: lines[0].update(steps=999), "newer appreg"),
    "a step before all": (lambda lines: lines[0].update(steps=3), "of step 3"),
    "another format": (lambda lines: lines[0].update(format="x"), "line 1 is not what"),
}  # fmt: skip


@pytest.mark.parametrize("what", ALTERED)
def test_an_altered_file_whose_sum_was_made_to_fit_is_refused_and_leaves_nothing(
    what: str, written: Path, tmp_path: Path
) -> None:
    alter, says = ALTERED[what]
    lines: Lines = [json.loads(text) for text in written.read_bytes().splitlines()]
    alter(lines)
    (tmp_path / "altered.jsonl").write_bytes(_summed(lines))
    with pytest.raises(AppregError, match=says) as refused:
        import_lines(tmp_path / "altered.jsonl", tmp_path / "new.sqlite")
    assert "altered.jsonl" in str(refused.value)
    assert [each.name for each in tmp_path.iterdir()] == ["altered.jsonl"]


def test_a_file_cut_off_or_changed_anywhere_is_refused_and_leaves_nothing(written: Path, tmp_path: Path) -> None:
    whole = written.read_bytes()
    broken = tmp_path / "broken.jsonl"
    cuts = [whole[:at] for at in (0, 1, 500, len(whole) // 3, len(whole) // 2, len(whole) - 70, len(whole) - 1)]
    at = whole.index(b"Kettle")
    for content in (*cuts, whole + b"\n", whole[:at] + b"kettle" + whole[at + 6 :], b"\x00" + whole, b"PK\x03\x04"):
        broken.write_bytes(content)
        with pytest.raises(GivenFileRefused, match=r"broken\.jsonl"):
            import_lines(broken, tmp_path / "new.sqlite")
    assert [each.name for each in tmp_path.iterdir()] == ["broken.jsonl"]


def test_no_register_is_made_where_anything_stands(written: Path, tmp_path: Path) -> None:
    there = tmp_path / "there.sqlite"
    there.write_text("somebody's")
    with pytest.raises(InputRefused, match="is there already"):
        import_lines(written, there)
    wal = tmp_path / f"gone.sqlite{BESIDE[0]}"
    wal.write_bytes(b"left")
    with pytest.raises(InputRefused, match="is still there"):
        import_lines(written, tmp_path / "gone.sqlite")
    assert (there.read_text(), wal.read_bytes()) == ("somebody's", b"left")


def test_a_file_of_an_older_version_makes_a_register_that_is_brought_up_to_date_when_it_is_opened(
    tmp_path: Path,
) -> None:
    import_lines(older_lines(tmp_path), tmp_path / "back.sqlite")
    with open_register(tmp_path / "back.sqlite") as back:
        assert list(problems(back)) == []
        assert back.get(type(CLIENT), CLIENT.uid) == CLIENT
        (newest,) = back.rows("SELECT max(number) FROM migration")[0]
        assert newest == NEWEST > 16


def test_what_is_stopped_leaves_nothing(written: Path, tmp_path: Path) -> None:
    for turns in (0, 1, 2):
        told = iter([True] * turns + [False] * 1000)
        with pytest.raises(Stopped, match="no register was made"):
            import_lines(written, tmp_path / "new.sqlite", progress=lambda *_, told=told: next(told))
    with build_register(tmp_path / "one.sqlite") as register, pytest.raises(Stopped, match="no file was written"):
        export_lines(register, tmp_path / "one.jsonl", progress=lambda *_: False)
    assert [each.name for each in tmp_path.iterdir()] == ["one.sqlite"]


def test_a_register_that_is_not_sound_is_not_exported(tmp_path: Path) -> None:
    with build_register(tmp_path / "one.sqlite") as register:
        register.connection.execute("UPDATE client SET name = 'Other' WHERE uid = ?", (CLIENT.uid,))
        with pytest.raises(RegisterUnusable, match="is not sound"):
            export_lines(register, tmp_path / "one.jsonl")
    assert not (tmp_path / "one.jsonl").exists()
