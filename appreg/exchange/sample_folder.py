"""Reading a whole sample site: three kinds of file, and whether they agree with each other."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Final, TypeVar

from appreg.exchange.csv_cells import Cells, Column, read_cells
from appreg.exchange.file_problems import FileProblem
from appreg.exchange.sample_columns import INSPECTION_COLUMNS, ITEM_COLUMNS, REPAIR_COLUMNS
from appreg.exchange.sample_lines import inspection_of, item_of, repair_of
from appreg.exchange.sample_records import SampleSite
from appreg.exchange.sample_site_file import read_site_file
from appreg.given_files import GivenFileRefused, read_text

Line = TypeVar("Line")

_MOST_BYTES: Final = 250_000
_MOST_BYTES_OF_LINES: Final = 5_000_000

SITE_FILE: Final = "site.toml"
ITEM_FILE: Final = "items.csv"
INSPECTION_FILE: Final = "inspections.csv"
REPAIR_FILE: Final = "repairs.csv"


def read_sample_site(folder: Path) -> tuple[SampleSite | None, tuple[FileProblem, ...]]:
    """The site a folder describes, or None with every problem found in its files."""
    problems: list[FileProblem] = []
    site = None
    text = _text(folder, SITE_FILE, problems)
    if text is not None:
        site, found = read_site_file(text, f"{folder.name}/{SITE_FILE}")
        problems.extend(found)
    items = _lines(folder, ITEM_FILE, ITEM_COLUMNS, item_of, problems)
    inspections = _lines(folder, INSPECTION_FILE, INSPECTION_COLUMNS, inspection_of, problems)
    repairs = _lines(folder, REPAIR_FILE, REPAIR_COLUMNS, repair_of, problems)
    if site is None or problems:
        return None, tuple(problems)
    sample = SampleSite(
        folder=folder.name,
        client=site.client,
        place=site.place,
        locations=site.locations,
        people=site.people,
        instruments=site.instruments,
        visits=site.visits,
        items=tuple(items),
        inspections=tuple(inspections),
        repairs=tuple(repairs),
    )
    disagreements = tuple(_disagreements(sample))
    return (None if disagreements else sample), disagreements


def _text(folder: Path, name: str, problems: list[FileProblem]) -> str | None:
    most_bytes = _MOST_BYTES if name == SITE_FILE else _MOST_BYTES_OF_LINES
    try:
        return read_text(folder / name, what="a sample site", most_bytes=most_bytes)
    except GivenFileRefused as refused:
        problem = FileProblem(
            file=f"{folder.name}/{name}", line=1, column="", what=f"it {refused.what}", todo=refused.todo
        )
        problems.append(problem)
        return None


def _lines(
    folder: Path,
    name: str,
    columns: Sequence[Column],
    read: Callable[[Cells], Line | None],
    problems: list[FileProblem],
) -> list[Line]:
    text = _text(folder, name, problems)
    if text is None:
        return []
    cells, found = read_cells(text, f"{folder.name}/{name}", columns)
    problems.extend(found)
    lines = []
    for each in cells:
        line = read(each)
        problems.extend(each.problems)
        if line is not None:
            lines.append(line)
    return lines


def _disagreements(sample: SampleSite) -> Iterator[FileProblem]:
    yield from _unknown_in_visits(sample)
    yield from _unknown_in_items(sample)
    tags = {each.tag for each in sample.items}
    days = {each.on for each in sample.visits}
    file = f"{sample.folder}/{INSPECTION_FILE}"
    for inspection in sample.inspections:
        if inspection.tag not in tags:
            yield _unknown(file, inspection.line, "tag", inspection.tag, "name an item of items.csv")
        if inspection.on not in days:
            yield _unknown(file, inspection.line, "date", inspection.on.isoformat(), "name a visit of site.toml")
    for repair in sample.repairs:
        if repair.tag not in tags:
            where = f"{sample.folder}/{REPAIR_FILE}"
            yield _unknown(where, repair.line, "tag", repair.tag, "name an item of items.csv")


def _unknown_in_visits(sample: SampleSite) -> Iterator[FileProblem]:
    initials = {each.initials for each in sample.people}
    serials = {each.serial for each in sample.instruments}
    file = f"{sample.folder}/{SITE_FILE}"
    for visit in sample.visits:
        where = f"visit of {visit.on.isoformat()}"
        if visit.person not in initials:
            yield _unknown(file, 1, where, visit.person, "name the initials of a [[person]]")
        if visit.instrument and visit.instrument not in serials:
            yield _unknown(file, 1, where, visit.instrument, "name the serial of an [[instrument]]")


def _unknown_in_items(sample: SampleSite) -> Iterator[FileProblem]:
    locations = {each.name for each in sample.locations}
    tags = Counter(each.tag for each in sample.items)
    file = f"{sample.folder}/{ITEM_FILE}"
    for item in sample.items:
        if item.location not in locations:
            yield _unknown(file, item.line, "location", item.location, "name a location of site.toml")
        if tags[item.tag] > 1:
            yield FileProblem(
                file=file, line=item.line, column="tag", what=f"{item.tag} stands twice", todo="give each its own"
            )
        if item.feeds and item.feeds not in tags:
            yield _unknown(file, item.line, "feeds", item.feeds, "name the tag of another item")


def _unknown(file: str, line: int, column: str, value: str, todo: str) -> FileProblem:
    return FileProblem(file=file, line=line, column=column, what=f"“{value}” is not known", todo=todo)
