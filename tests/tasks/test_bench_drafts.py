from pathlib import Path

import pytest

from appreg.core.checks import Entries, InsulationEntry
from appreg.core.readings import Unit, parse_reading
from appreg.core.records import InspectionKind, QueuedLabel
from appreg.core.work_records import BenchDraft
from appreg.errors import InputRefused
from appreg.register.inspection_lists import effective_inspections
from appreg.tasks.finish_bench import finish_bench
from appreg.tasks.keep_bench_draft import bench_draft, drafts_of_visit, drop_bench_draft, keep_bench_draft
from appreg.tasks.record_inspection import SavedInspection
from appreg.tasks.take_back_inspection import take_back_inspection
from tests.ui.bench_register import LAMP, WHO, BenchTable, lay_table

SOUND = Entries(
    visual=True, functional=True, insulation=InsulationEntry(reading=parse_reading(">299", Unit.MEGOHM), volts=500)
)


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Desk lamp", LAMP), ("Floor lamp", LAMP))


def keep(table: BenchTable, place: int, body: str) -> BenchDraft:
    return keep_bench_draft(
        table.register, WHO, visit=table.visit.uid, appliance=table.uid(place), at="12:00:00", body=body
    )


def finish(table: BenchTable, place: int = 0, kind: InspectionKind = InspectionKind.COMBINED) -> SavedInspection:
    return finish_bench(
        table.register, WHO, appliance=table.uid(place), visit=table.visit.uid, kind=kind, entries=SOUND
    )


def test_one_draft_is_kept_for_an_item_and_always_the_latest(table: BenchTable) -> None:
    first = keep(table, 0, "a")
    assert keep(table, 0, "b").uid == first.uid
    draft = bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(0))
    assert draft is not None
    assert draft.body == "b"


def test_the_drafts_of_a_visit_are_listed_latest_first(table: BenchTable) -> None:
    keep(table, 0, "a")
    keep(table, 1, "b")
    assert [draft.appliance for draft in drafts_of_visit(table.register, table.visit.uid)] == [
        table.uid(1),
        table.uid(0),
    ]


def test_dropping_a_draft_twice_is_harmless(table: BenchTable) -> None:
    keep(table, 0, "a")
    for _ in range(2):
        drop_bench_draft(table.register, WHO, visit=table.visit.uid, appliance=table.uid(0))
    assert drafts_of_visit(table.register, table.visit.uid) == ()


def test_finishing_keeps_the_inspection_and_clears_the_draft_together(table: BenchTable) -> None:
    keep(table, 0, "a")
    finish(table)
    assert len(effective_inspections(table.register, table.uid(0))) == 1
    assert drafts_of_visit(table.register, table.visit.uid) == ()


def test_a_refused_inspection_leaves_the_draft_where_it_was(table: BenchTable) -> None:
    keep(table, 0, "a")
    with pytest.raises(InputRefused):
        finish(table, kind=InspectionKind.VISUAL)
    assert [draft.body for draft in drafts_of_visit(table.register, table.visit.uid)] == ["a"]
    assert effective_inspections(table.register, table.uid(0)) == []


def test_taking_an_inspection_back_restores_item_label_and_draft(table: BenchTable) -> None:
    before = table.item(0)
    keep(table, 0, "a")
    saved = finish(table)
    assert take_back_inspection(table.register, WHO, saved.inspection.uid) == before
    assert effective_inspections(table.register, table.uid(0)) == []
    assert table.register.find(QueuedLabel) == []
    assert [draft.body for draft in drafts_of_visit(table.register, table.visit.uid)] == ["a"]


def test_an_inspection_is_taken_back_once(table: BenchTable) -> None:
    saved = finish(table)
    take_back_inspection(table.register, WHO, saved.inspection.uid)
    with pytest.raises(InputRefused, match="taken back already"):
        take_back_inspection(table.register, WHO, saved.inspection.uid)
