"""Lists to hand over: what is due, to be put right, done, recalled, issued, changed; each the same as pages and as rows."""

import csv
import io
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from decimal import Decimal as D
from pathlib import Path

import openpyxl
import pytest
from msgspec.structs import replace

from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import Appliance, InspectionKind
from appreg.core.records.work_records import RemedialAction
from appreg.core.rules.fuse_advice import fuse_to_fit
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.told_tables import Row, ToldTable
from appreg.errors import InputRefused
from appreg.tasks.documents.issue_document import issue_register
from appreg.tasks.documents.paper_kinds import PAPERS, Ask, Asked, PaperKind, paper_named
from appreg.tasks.documents.tell_due import due_document
from appreg.tasks.documents.tell_evidence import evidence_document
from appreg.tasks.documents.tell_issued import changes_document, issues_document
from appreg.tasks.documents.tell_recall import recall_document
from appreg.tasks.documents.tell_remedial import materials_document, remedial_document
from appreg.tasks.documents.tell_tally import tally_document
from appreg.tasks.documents.write_paper import issue_paper, write_paper
from appreg.tasks.inspecting.record_repair import record_repair
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.records.add_instrument import add_instrument
from tests.paper.pdf_reading import whole_text
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

EARLIER = TODAY - timedelta(days=400)


@pytest.fixture
def here(tmp_path: Path) -> Iterator[WorkedSite]:
    with worked_site(tmp_path) as found:
        yield found


def rows(table: ToldTable) -> list[Row]:
    return [row for group in table.groups for row in group.rows]


def column(table: ToldTable, name: str) -> list[object]:
    at = [each.name for each in table.columns].index(name)
    return [row[at] for row in rows(table)]


def small_kettle(here: WorkedSite, power: int) -> None:
    item = here.kettle()
    with here.register.change(WHO, "less power") as change:
        change.put(replace(here.again(item), power_w=power, make="Heatwell", model="HW-2"))


def test_the_due_list_tells_each_line_of_what_is_due_once(here: WorkedSite) -> None:
    here.record(here.kettle(), combined(), here.visit(EARLIER))
    here.kettle()
    document = due_document(here.register, Asked(site=here.site.uid, within=9), TODAY)
    board = list_due(here.register, today=TODAY, within_days=9)
    assert sorted(map(str, column(document.tables[0], "tag"))) == sorted(line.appliance.tag for line in board.lines)
    assert document.counts[0] == (board.counts.overdue_items, "items overdue")
    assert set(column(document.tables[0], "state")) == {"overdue", "never inspected"}


def test_the_remedial_list_ends_with_quantities(here: WorkedSite) -> None:
    for _ in range(12):
        small_kettle(here, 600)
    failed, mended, passed = here.kettle(), here.kettle(), here.kettle()
    for item in (failed, mended):
        here.record(item, combined(earth="0.9"))
    here.record(passed, combined())
    (action,) = here.register.find(RemedialAction, appliance=mended.uid)
    record_repair(here.register, WHO, action=action.uid, repair="New cord.", on=TODAY)
    document = remedial_document(here.register, Asked(), TODAY)
    to_do, to_bring = document.tables
    assert column(to_do, "tag") == [failed.tag, mended.tag]
    assert column(to_do, "repair") == ["nothing recorded", "New cord."]
    assert all("earth continuity 0.9 Ω, limit ≤ 0.1208 Ω" in str(what) for what in column(to_do, "what"))
    assert [tuple(row)[:2] for row in rows(to_bring)] == [("fuse, 3 A", 12), ("repair: earth continuity", 1)]
    assert rows(materials_document(here.register, Asked(), TODAY).tables[0]) == rows(to_bring)


def test_the_remedial_list_hides_no_failure_behind_an_earlier_one_of_the_same_item(here: WorkedSite) -> None:
    item = here.kettle()
    here.record(item, combined(earth="0.9"))
    (first,) = here.register.find(RemedialAction, appliance=item.uid)
    here.record(here.again(item), combined(insulation="0.2"))
    record_repair(here.register, WHO, action=first.uid, repair="New cord.", on=TODAY)
    document = remedial_document(here.register, Asked(), TODAY)
    to_do, to_bring = document.tables
    assert "insulation resistance 0.2 MΩ" in " ".join(map(str, column(to_do, "what")))
    assert document.counts[:2] == ((1, "item to be put right"), (2, "failures"))
    assert ("repair: insulation resistance", 1) in [tuple(row)[:2] for row in rows(to_bring)]


@pytest.mark.parametrize(
    ("changes", "size"),
    [
        ({"power_w": 700}, D(3)),
        ({"power_w": 701}, None),
        ({"power_w": 600, "fuse_a": D(3)}, None),
        ({"power_w": 600, "fuse_a": None}, None),
        ({"power_w": 600, "assumed": ("fuse",)}, None),
        ({"power_w": 600, "assumed": ("power",)}, None),
        ({"power_w": 600, "phases": 3}, None),
    ],
)
def test_a_fuse_is_wanted_only_where_the_one_that_was_read_is_too_large(
    here: WorkedSite, changes: dict[str, object], size: D | None
) -> None:
    """Common practice in the United Kingdom, from memory: 3 A up to 700 W, 13 A above."""
    item = replace(here.kettle(), **changes)
    assert fuse_to_fit(facts_of(item), load_rule_book("gb")) == size


def test_the_tally_counts_what_counts_by_kind_and_each_check_that_was_made(here: WorkedSite) -> None:
    first, second = here.kettle(), here.kettle()
    before, now = here.visit(EARLIER), here.visit()
    here.record(first, combined(), before)
    wrong = here.record(first, combined(earth="0.9"), now)
    here.record(first, combined(), now, supersedes=wrong.inspection.uid, reason="slip")
    here.record(second, Entries(visual=True), now, kind=InspectionKind.VISUAL)
    gone = here.record(second, combined(), now)
    take_back_inspection(here.register, WHO, gone.inspection.uid)
    document = tally_document(here.register, Asked(since=TODAY, until=TODAY), TODAY)
    work, checks = document.tables
    assert [tuple(row) for row in rows(work)] == [
        ("inspection and test", "Class I · portable", 1, 1),
        ("formal visual inspection", "Class I · portable", 1, 1),
    ]
    assert dict(zip(column(checks, "check"), column(checks, "times"), strict=True))["earth continuity"] == 1
    every = tally_document(here.register, Asked(), TODAY).tables[0]
    assert column(every, "inspections") == [2, 1]
    of_visit = tally_document(here.register, Asked(visit=before.uid), TODAY).tables[0]
    assert column(of_visit, "inspections") == [1]
    with pytest.raises(InputRefused, match="exchange"):
        tally_document(here.register, Asked(since=TODAY, until=EARLIER), TODAY)


def test_a_recall_lists_what_an_instrument_tested_and_whether_another_has_since(here: WorkedSite) -> None:
    other = add_instrument(here.register, WHO, name="Spare tester", serial="SP-2")
    old, again, elsewhere, looked = (here.kettle() for _ in range(4))
    for item in (old, again):
        here.record(item, combined(), here.visit(EARLIER))
    here.record(looked, Entries(visual=True), here.visit(EARLIER), kind=InspectionKind.VISUAL)
    spare = replace(here, instrument=other)
    day = spare.visit()
    for item in (again, elsewhere):
        here.record(item, combined(), day)
    told = recall_document(here.register, Asked(instrument="bt-1"), TODAY).tables[0]
    assert column(told, "tag") == [old.tag, again.tag]
    assert column(told, "again") == ["not yet", TODAY]
    since = recall_document(here.register, Asked(instrument="BT-1", since=TODAY), TODAY).tables[0]
    assert rows(since) == []
    with pytest.raises(InputRefused, match=r"there is no X; the register has Bench tester, serial BT-1, Spare"):
        recall_document(here.register, Asked(instrument="X"), TODAY)


def test_a_recall_of_a_make_says_how_many_items_may_be_of_it_without_anybody_having_written_it(
    here: WorkedSite,
) -> None:
    for make, model in (("Heatwell", "HW-2"), ("", ""), ("Heatwell", ""), ("Other", ""), ("", "X-1")):
        item = here.kettle()
        with here.register.change(WHO) as change:
            change.put(replace(item, make=make, model=model))
    document = recall_document(here.register, Asked(make="heatwell", model="HW-2"), TODAY)
    assert len(rows(document.tables[0])) == 1
    assert document.after[-1].startswith("2 items without a make or model on record may be of it and are not listed")
    assert len(recall_document(here.register, Asked(make="Other"), TODAY).after) == 2


def test_a_recall_lists_every_item_of_a_make_and_model_whatever_its_state(here: WorkedSite) -> None:
    small_kettle(here, 600)
    small_kettle(here, 600)
    plain = here.kettle()
    told = recall_document(here.register, Asked(make=" heatwell ", model="HW-2"), TODAY).tables[0]
    assert column(told, "tag") == ["HR-001", "HR-002"]
    alike = recall_document(here.register, Asked(item=here.register.find(Appliance)[0].uid), TODAY).tables[0]
    assert rows(alike) == rows(told)
    assert column(told, "result") == ["never inspected"] * 2
    for asked in (
        Asked(),
        Asked(item=plain.uid),
        Asked(make="Heatwell", instrument="BT-1"),
        Asked(make="Heatwell", since=TODAY),
    ):
        with pytest.raises(InputRefused):
            recall_document(here.register, asked, TODAY)


def test_changes_are_told_since_the_last_issue_and_only_where_there_is_one(here: WorkedSite, tmp_path: Path) -> None:
    item, site = here.kettle(), Asked(site=here.site.uid)
    here.record(item, combined())
    with pytest.raises(InputRefused, match="never issued"):
        changes_document(here.register, site, TODAY)
    issue_register(here.register, WHO, Asked(site=here.site.uid), out=tmp_path / "r.pdf", today=TODAY)
    assert rows(changes_document(here.register, site, TODAY).tables[0]) == []
    with here.register.change(WHO, "serial") as change:
        change.put(replace(here.again(item), serial="S-77"))
    assert [tuple(row) for row in rows(changes_document(here.register, site, TODAY).tables[0])] == [
        (item.tag, "serial was not stated, now S-77.")
    ]
    listed = issues_document(here.register, Asked(), TODAY).tables[0]
    assert [tuple(row)[:4] for row in rows(listed)] == [(1, 1, TODAY, "register")]


def test_the_evidence_sheet_suggests_nothing_of_little(here: WorkedSite) -> None:
    item = here.kettle()
    here.record(item, combined(), here.visit(EARLIER))
    here.record(item, combined())
    table = evidence_document(here.register, Asked(), TODAY).tables[0]
    assert set(column(table, "answer")) == {"too little evidence"}
    assert set(column(table, "suggested")) == {""}


TOLD = [paper for paper in PAPERS if paper.tells]


@pytest.mark.parametrize("paper", TOLD, ids=[paper.name for paper in TOLD])
def test_every_list_is_the_same_as_pages_and_as_rows(here: WorkedSite, tmp_path: Path, paper: PaperKind) -> None:
    small_kettle(here, 600)
    here.kettle()
    item = here.again(here.register.find(Appliance)[0])
    here.record(item, combined(earth="0.9"))
    issue_register(here.register, WHO, Asked(site=here.site.uid), out=tmp_path / "r.pdf", today=TODAY)
    with here.register.change(WHO, "serial") as change:
        change.put(replace(here.again(item), name="[red] =1+1", serial="=1+1"))
    asked = Asked(site=here.site.uid, instrument="BT-1" if Ask.INSTRUMENT in paper.asks else "", room="Kitchen")
    for ending in paper.endings:
        written = write_paper(here.register, paper, asked, out=tmp_path / f"list{ending}", today=TODAY)
        assert written.items >= 1
    assert (tmp_path / "list.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "list.xlsx").read_bytes().startswith(b"PK")
    told = list(csv.reader(io.StringIO((tmp_path / "list.csv").read_text(encoding="utf-8"), newline="")))
    text = squeezed([whole_text(tmp_path / "list.pdf")])
    assert all(squeezed([cell.removeprefix("'")]) in text for row in told[1:] for cell in row[:-1] if not _is_day(cell))
    assert not [cell for row in told for cell in row if cell.startswith(("=", "+", "@"))]


def test_who_gets_the_rows_alone_is_told_what_the_pages_say_beside_them(here: WorkedSite, tmp_path: Path) -> None:
    """Each sentence that stands on the pages: what was left out of the list above all."""
    small_kettle(here, 600)
    here.kettle()
    asked = Asked(make="Heatwell", model="HW-2")
    for ending in (".csv", ".xlsx", ".pdf"):
        write_paper(here.register, paper_named("recall"), asked, out=tmp_path / f"list{ending}", today=TODAY)
    told = list(csv.DictReader(io.StringIO((tmp_path / "list.csv").read_text(encoding="utf-8"), newline="")))
    said = [row["said"] for row in told if row["said"]]
    assert [row["tag"] for row in told if row["tag"]] == ["HR-001"]
    assert said[0].startswith("Recall list, 1 site, as of ")
    assert said[-1].startswith("1 item without a make or model on record may be of it and is not listed")
    text = squeezed([whole_text(tmp_path / "list.pdf")])
    assert all(squeezed([sentence]) in text for sentence in said[1:])
    book = openpyxl.load_workbook(tmp_path / "list.xlsx")
    assert [cell for (cell,) in book[book.sheetnames[-1]].values] == ["said", *said]


def _is_day(cell: str) -> bool:
    try:
        date.fromisoformat(cell)
    except ValueError:
        return False
    return True


def squeezed(texts: Sequence[str]) -> str:
    return "".join("".join(texts).split())


def test_what_is_not_issued_says_so_and_what_must_be_told_is_asked_for(here: WorkedSite, tmp_path: Path) -> None:
    out = tmp_path / "x.pdf"
    with pytest.raises(InputRefused, match="printed only"):
        issue_paper(here.register, WHO, paper_named("due"), Asked(), out=out, today=TODAY)
    needy = replace(paper_named("due"), asks=(Ask.SINCE,), needs=(Ask.SINCE,))
    with pytest.raises(InputRefused, match="since"):
        write_paper(here.register, needy, Asked(), out=out, today=TODAY)
    with pytest.raises(InputRefused, match=r"x\.txt"):
        write_paper(here.register, paper_named("due"), Asked(), out=tmp_path / "x.txt", today=TODAY)
    assert list(tmp_path.glob("x.*")) == []
