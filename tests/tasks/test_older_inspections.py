"""Registers of every earlier shape: what was judged then is printed as it was judged, and a copy stays beside."""

import re
import sqlite3
from datetime import date
from pathlib import Path

import pypdfium2
import pytest

from appreg.core.records.kept_records import Inspection, Visit
from appreg.register.checking.checking import problems
from appreg.register.lists.inspection_lists import findings_of
from appreg.register.opening.register_file import open_register
from appreg.register.schema.file_marks import NEWEST
from appreg.register.schema.later_tables import MIGRATIONS
from appreg.tasks.documents.write_site_register import write_site_register
from appreg.tasks.documents.write_visit_report import visit_document, write_visit_report
from tests.register.older_registers import JUDGED, older_register, printed_then
from tests.tasks.worked_site import ticking_clock

ON = date(2026, 11, 24)
OF_PAGES = re.compile("Harbour Row · .*|tag and result .*|A print of .*|(seal|The seal names|[0-9A-F]{4}-) ?.*")
"""What stands at the head or foot of each page: where pages end, nobody promised; and the seal, of that day's journal."""
LATER_WORDS = (
    (r"look (.*)", ("next formal visual", "inspection", r"\1")),
    (r"test (\d\d \w{3} \d{4})", ("next inspection and test", r"\1")),
    (r"test: (.*)", ("next inspection and", "test:", r"\1")),
    (r"visual only", ("looked at, not", "tested")),
)
"""What is said in other words since, in lines as they break."""
Rows = dict[str, list[tuple[object, ...]]]


def words(path: Path) -> str:
    with pypdfium2.PdfDocument(path) as pdf:
        return "\n".join(page.get_textpage().get_text_bounded() for page in pdf)


def said_now(line: str) -> list[str]:
    """The same as it is said today; nothing of what belongs to a page."""
    if OF_PAGES.fullmatch(line):
        return []
    for was, lines in LATER_WORDS:
        if found := re.fullmatch(was, line):
            return [found.expand(each) for each in lines]
    return [line]


def columns_of(path: Path) -> dict[str, list[str]]:
    """Which columns tell of judgements, as the file has them."""
    with sqlite3.connect(path) as found:
        return {
            table: [row[1] for row in found.execute(f"PRAGMA table_info({table})")]
            for table in ("inspection", "finding", "remedial_action", "inspection_withdrawal")
        }


def rows_of(path: Path, columns: dict[str, list[str]]) -> Rows:
    with sqlite3.connect(path) as found:
        return {
            table: found.execute(f"SELECT {', '.join(names)} FROM {table} ORDER BY uid").fetchall()  # noqa: S608
            for table, names in columns.items()
        }


def steps_of(path: Path) -> list[int]:
    with sqlite3.connect(path) as found:
        return [number for (number,) in found.execute("SELECT number FROM migration ORDER BY number")]


def test_the_registers_are_of_one_shape_after_the_other() -> None:
    shapes = [migration.number for migration in MIGRATIONS]
    assert [int(name.removeprefix("judged-")) for name in JUDGED] == shapes[: len(JUDGED)]
    assert len(JUDGED) >= NEWEST - 1


@pytest.mark.parametrize("name", JUDGED)
def test_old_inspections_stand_and_print_as_they_were_judged(tmp_path: Path, name: str) -> None:
    path = older_register(name, tmp_path)
    steps, columns = steps_of(path), columns_of(path)
    assert steps == list(range(1, int(name.removeprefix("judged-")) + 1))
    before = rows_of(path, columns)
    assert len(before["inspection"]) == 10
    with open_register(path, clock=ticking_clock(start=1_796_000_000_000)) as register:
        assert list(problems(register)) == []
        (visit,) = register.find(Visit)
        write_site_register(register, site=visit.site, out=tmp_path / "site.pdf", details=True, today=ON)
        write_visit_report(register, visit=visit.uid, out=tmp_path / "report.pdf", today=ON)
        inspections = {each.uid: each for each in register.find(Inspection)}
        shown = visit_document(register, visit=visit.uid, today=ON)
        found = {finding for each in inspections for finding in findings_of(register, each)}
    assert rows_of(path, columns) == before
    # The copy beside it is the register as it was, step for step and row for row.
    copies = list(path.with_name(path.name + ".copies").glob("*.sqlite"))
    assert len(copies) == (max(steps) < NEWEST)
    for copy in copies:
        assert (steps_of(copy), rows_of(copy, columns)) == (steps, before)
    # Every word of the items that the version of then printed, in its order: verdicts, limits, arithmetic, the rules.
    now = iter(words(tmp_path / "site.pdf").split("Annex: every reading")[1].split())
    told = "\n".join(said for line in printed_then(name) for said in said_now(line))
    then = re.split(r"(?:Every item|Annex: every reading) \(\d+\)", told)[-1].split()
    assert len(then) > 500
    assert [word for word in then if word not in now] == []
    report = " ".join(words(tmp_path / "report.pdf").split())
    for line in shown.items:
        for finding in line.findings:
            assert finding in found
            assert " ".join(finding.arithmetic.split()) in report
            assert finding.source in report
    versions = {each.rule_book_version for each in inspections.values()}
    assert len(versions) == 1
    assert versions.pop() in report
