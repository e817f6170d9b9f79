"""A folder of downloads: each table is told once it is whole, with its mapping, and nothing is taken."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.errors import InputRefused
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.source_file import read_source
from appreg.tasks.importing.keep_mappings import keep_mapping
from appreg.tasks.importing.watch_downloads import Download, DownloadWatch

DAY = date(2026, 11, 24)
TABLE = "Asset tag,Date,Earth (Ω),Insulation (MΩ)\nHR-101,2026-11-20,0.08,299\n"


@pytest.fixture(name="environ")
def _environ(tmp_path: Path) -> Mapping[str, str]:
    return {
        "XDG_STATE_HOME": str(tmp_path / "state"),
        "APPREG_SETTINGS": str(tmp_path / "settings" / "settings.toml"),
        "HOME": str(tmp_path),
    }


@pytest.fixture(name="folder")
def _folder(tmp_path: Path) -> Path:
    folder = tmp_path / "downloads"
    folder.mkdir()
    return folder


def told(watch: DownloadWatch, looks: int = 2) -> list[Download]:
    return [each for _ in range(looks) for each in watch.look(DAY)]


def test_a_file_is_told_once_its_size_rests_and_with_the_mapping_that_was_kept_for_such(
    folder: Path, environ: Mapping[str, str]
) -> None:
    watch = DownloadWatch(folder, environ)
    assert watch.look(DAY) == ()
    file = folder / "one.csv"
    file.write_text(TABLE[:50], encoding="utf-8")
    assert watch.look(DAY) == ()
    file.write_text(TABLE, encoding="utf-8")  # it was still coming
    assert watch.look(DAY) == ()
    [first] = watch.look(DAY)
    assert (first.path, first.kind, first.mapping) == (file, ImportKind.RESULTS, "")
    assert first.sentence == "one.csv is new: results, its columns guessed, as no kept mapping fits."
    assert told(watch) == []

    source = read_source(file)
    keep_mapping(environ, replace(guess_mapping(source), problems=()), "Bench download")
    (folder / "two.csv").write_text(TABLE.replace("0.08", "0.09"), encoding="utf-8")
    [second] = told(watch)
    assert second.mapping == "Bench download"
    assert second.sentence == "two.csv is new: results, by the mapping “Bench download”."


def test_the_same_file_is_told_as_known_by_another_name_and_by_another_watch(
    folder: Path, environ: Mapping[str, str]
) -> None:
    watch = DownloadWatch(folder, environ)
    (folder / "one.csv").write_text(TABLE, encoding="utf-8")
    assert [each.known for each in told(watch)] == [None]
    (folder / "copy [red].csv").write_text(TABLE, encoding="utf-8")
    [copy] = told(watch)
    assert copy.kind is None
    assert copy.sentence == "copy [red].csv is known: the same as one.csv, offered on 24 Nov 2026."
    again = told(DownloadWatch(folder, environ))
    assert [each.path.name for each in again if each.known is not None] == ["copy [red].csv", "one.csv"]


def test_what_is_no_table_is_told_and_what_is_still_coming_or_hidden_is_let_be(
    folder: Path, environ: Mapping[str, str]
) -> None:
    (folder / "empty.csv").touch()
    (folder / "zeros.csv").write_bytes(b"\0" * 500)
    (folder / "=1+1.xlsx").write_bytes(b"PK\x03\x04 cut short")
    for name in (".hidden.csv", "~lock.xlsx", "half.csv.part", "report.pdf"):
        (folder / name).write_text(TABLE, encoding="utf-8")
    (folder / "folder.csv").mkdir()
    (folder / "link.csv").symlink_to(folder / "report.pdf")
    found = told(DownloadWatch(folder, environ))
    assert [each.path.name for each in found] == ["=1+1.xlsx", "zeros.csv"]
    assert all(each.fault and each.sentence.endswith(".") for each in found)


def test_a_folder_that_has_gone_is_said_once_and_gone_on_with(folder: Path, environ: Mapping[str, str]) -> None:
    watch = DownloadWatch(folder, environ)
    watch.look(DAY)
    away = folder.rename(folder.with_name("away"))
    with pytest.raises(InputRefused, match="cannot be read"):
        watch.look(DAY)
    assert told(watch) == []
    away.rename(folder)
    (folder / "one.csv").write_text(TABLE, encoding="utf-8")
    assert len(told(watch)) == 1


def test_what_is_remembered_may_be_broken(folder: Path, environ: Mapping[str, str], tmp_path: Path) -> None:
    (tmp_path / "state" / "appreg").mkdir(parents=True)
    (tmp_path / "state" / "appreg" / "downloads.txt").write_bytes(b'["x"]\n\xff\n[[[[\n["a", "b", "never"]\n')
    (folder / "one.csv").write_text(TABLE, encoding="utf-8")
    assert [each.known for each in told(DownloadWatch(folder, environ))] == [None]
    assert [each.known is None for each in told(DownloadWatch(folder, environ))] == [False]
