"""Reading a sample site: all three kinds of file, and whether they agree."""

import shutil
from pathlib import Path

import pytest

from appreg.core.records.checks import Check
from appreg.core.values.readings import Comparator
from appreg.exchange.sample_folder import INSPECTION_COLUMNS, ITEM_COLUMNS, REPAIR_COLUMNS, read_sample_site

SAMPLES = Path(__file__).parents[2] / "sample_sites"
FOLDERS = sorted(each.parent for each in SAMPLES.glob("*/site.toml"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the boatyard that a test may spoil."""
    return Path(shutil.copytree(SAMPLES / "saltings_boatyard", tmp_path / "yard"))


def spoil(folder: Path, name: str, old: str, new: str) -> list[str]:
    """Replace a text in a file and return the problems that are told."""
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    site, problems = read_sample_site(folder)
    assert site is None
    return [problem.sentence for problem in problems]


@pytest.mark.parametrize("sample", FOLDERS, ids=lambda each: each.name)
def test_the_samples_that_come_along_have_no_problem(sample: Path) -> None:
    site, problems = read_sample_site(sample)
    assert problems == ()
    assert site is not None
    assert 15 <= len(site.items) <= 60
    assert len({visit.on.year for visit in site.visits}) >= 2


def test_readings_are_kept_as_the_instrument_showed_them() -> None:
    site, _ = read_sample_site(SAMPLES / "saltings_boatyard")
    assert site is not None
    reel = next(each for each in site.inspections if each.tag == "SB-026")
    assert reel.entries.rcd_trips[Check.RCD_HALF] is None, "a device that did not trip"
    assert reel.entries.earth is not None
    assert any(
        each.entries.insulation and each.entries.insulation.reading.comparator is Comparator.GREATER
        for each in site.inspections
    )


@pytest.mark.parametrize(
    ("name", "old", "new", "told"),
    [
        ("site.toml", 'prefix = "SB"', "", "yard/site.toml, line 7, site.prefix: nothing is given; give it."),
        ("site.toml", "[[visit]]\non = 2024-09-10", '[[visit]]\non = "Tuesday"', "visit.0.on: this is not a date"),
        ("site.toml", 'person = "TS"', 'person = "XX"', "visit of 2024-09-10: “XX” is not known; name the initials"),
        ("site.toml", 'instrument = "YT-2203"', 'instrument = "Y"', "“Y” is not known; name the serial"),
        ("site.toml", "[client]", "[klient]", "client: this table is missing; add [client]."),
        ("site.toml", 'prefix = "SB"', 'prefix = "SB"\ncolour = "red"', "site.colour: this key is not known"),
        ("site.toml", 'prefix = "SB"', "prefix = 7", "site.prefix: this is not a text; put it in quotes."),
        ("site.toml", "[client]", "[client", "is not valid TOML"),
        ("items.csv", "SB-002,Slipway", "SB-002,Moon", "line 3, location: “Moon” is not known"),
        ("items.csv", "SB-002,", "SB-001,", "tag: SB-001 stands twice; give each its own."),
        ("items.csv", "550,,,,,,,,Plate", "lots,,,,,,,,Plate", "power_w: “lots” is not a whole number"),
        ("inspections.csv", "2024-09-10,SB-001", "2024-09-10,SB-999", "line 2, tag: “SB-999” is not known"),
        ("inspections.csv", "2024-09-10,SB-001", "2024-09-12,SB-001", "line 2, date: “2024-09-12” is not known"),
        ("inspections.csv", "combined", "thorough", "kind: “thorough” is not one of visual, combined"),
        ("repairs.csv", "SB-024", "SB-999", "tag: “SB-999” is not known"),
    ],
)
def test_every_problem_names_file_line_column_and_remedy(
    folder: Path, name: str, old: str, new: str, told: str
) -> None:
    assert any(told in sentence for sentence in spoil(folder, name, old, new))


def test_reading_does_not_stop_at_the_first_problem(folder: Path) -> None:
    spoil(folder, "items.csv", "550,,,,,,,,Plate", "lots,,,,,,,,Plate")
    told = spoil(folder, "inspections.csv", "combined", "thorough")
    assert len(told) == 2


def test_files_that_are_not_there_or_not_utf8_are_told(folder: Path) -> None:
    (folder / "repairs.csv").unlink()
    (folder / "items.csv").write_bytes(b"tag,location\n\xff,x\n")
    _, problems = read_sample_site(folder)
    told = " ".join(problem.sentence for problem in problems)
    assert "yard/repairs.csv, line 1: it cannot be read" in told
    assert "is not UTF-8" in told


def test_every_column_is_explained_in_the_readme() -> None:
    readme = (SAMPLES / "README.md").read_text(encoding="utf-8")
    for file, columns in (
        ("items.csv", ITEM_COLUMNS),
        ("inspections.csv", INSPECTION_COLUMNS),
        ("repairs.csv", REPAIR_COLUMNS),
    ):
        for column in columns:
            assert f"| {file} | `{column.name}` | {column.meaning}" in readme, column.name
