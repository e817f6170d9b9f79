from contextlib import suppress
from datetime import date
from pathlib import Path

import pytest

from appreg.core.values.text import is_hidden
from appreg.errors import InputRefused
from appreg.files import REGISTER_MARK
from appreg.tasks.desk.choose_file import chosen_file, suggested_file
from tests.hostile_names import HOSTILE_NAMES, TYPEABLE_NAMES

DAY = date(2026, 11, 24)


def test_a_file_is_suggested_in_the_documents_folder_and_never_one_that_exists(tmp_path: Path) -> None:
    (tmp_path / "Documents").mkdir()
    first = suggested_file("labels", ".pdf", on=DAY, environ={"HOME": str(tmp_path)})
    assert first == tmp_path / "Documents" / "labels-2026-11-24.pdf"
    first.touch()
    second = suggested_file("labels", ".pdf", on=DAY, environ={"HOME": str(tmp_path)})
    assert second.name == "labels-2026-11-24-2.pdf"


def test_without_a_documents_folder_the_present_one_is_suggested(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert suggested_file("labels", ".pdf", on=DAY, environ={}).parent == Path.cwd()


def test_the_ending_is_added_where_it_is_not_typed(tmp_path: Path) -> None:
    assert chosen_file(f" {tmp_path}/a.b ", ".pdf") == tmp_path / "a.b.pdf"
    assert chosen_file(f"{tmp_path}/a.PDF", ".pdf") == tmp_path / "a.PDF"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "no name"),
        ("missing/folder/x.pdf", "no folder"),
        ("linked.pdf", "a link"),
        ("register.pdf", "register"),
        ("a\x1b[2Jb", "escape"),
        ("~nobody-of-that-name/x.pdf", "home folder"),
        ("x" * 300, "cannot be a file"),
    ],
)
def test_a_file_that_cannot_be_written_is_refused_in_one_sentence(
    typed: str, words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("linked.pdf").symlink_to("nowhere")
    Path("register.pdf").write_bytes(REGISTER_MARK)
    with pytest.raises(InputRefused, match=words):
        chosen_file(typed, ".pdf")


def test_whatever_a_site_is_called_its_document_is_suggested_in_the_same_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in HOSTILE_NAMES:
        file = suggested_file(f"register-{name}", ".pdf", on=DAY, environ={})
        assert file.parent == Path.cwd()
        assert not any(is_hidden(character) for character in file.name)
        file.touch()


def test_whatever_is_typed_as_a_file_is_taken_or_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    taken = []
    for name in TYPEABLE_NAMES:
        with suppress(InputRefused):
            taken.append(chosen_file(name, ".pdf"))
    assert len(taken) > len(TYPEABLE_NAMES) // 2
    assert all(file.suffix == ".pdf" and file.parent.is_dir() for file in taken)
