import json
from datetime import date
from pathlib import Path

import pytest

from appreg.clock import Instant
from appreg.core.records.checks import Entries, InsulationEntry
from appreg.core.records.kept_records import InspectionKind, QueuedLabel
from appreg.core.records.work_records import BenchDraft
from appreg.core.values.readings import Unit, parse_reading
from appreg.errors import InputRefused, RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.engine import file_opening
from appreg.register.history.half_filled import half_filled
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.inspecting.choose_visit import go_on_with_visit
from appreg.tasks.inspecting.finish_bench import finish_bench
from appreg.tasks.inspecting.keep_bench_draft import (
    bench_as_kept,
    bench_draft,
    drafts_left,
    drafts_of_visit,
    drop_bench_draft,
    keep_bench_draft,
)
from appreg.tasks.inspecting.record_inspection import SavedInspection
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.keeping.keep_copy import keep_copy, same_kept_copy
from appreg.tasks.keeping.restore_copy import lacking_sentences, prepare_restore
from appreg.tasks.keeping.verify_register import verify_with_seal
from tests.ui.bench_register import LAMP, NOON, WHO, BenchTable, lay_table

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


def lines_of(register: Register) -> list[tuple[str, str | None, str | None]]:
    return register.rows('SELECT entity, "before", "after" FROM journal ORDER BY sequence')


def test_nothing_half_filled_is_a_line_of_the_journal_and_an_inspection_notes_its_bench_once(table: BenchTable) -> None:
    before = lines_of(table.register)
    for body in '"0', '"0.', '"0.1"':
        keep(table, 0, body)
    drop_bench_draft(table.register, WHO, visit=table.visit.uid, appliance=table.uid(0))
    keep(table, 0, '"0.1"')
    assert lines_of(table.register) == before
    saved = finish(table)
    noted = [line for line in lines_of(table.register)[len(before) :] if line[0] == "bench_draft"]
    assert [(json.loads(was or "")["body"], after) for _, was, after in noted] == [('"0.1"', None)]
    assert bench_as_kept(table.register, saved.inspection.uid) == '"0.1"'
    assert verify_with_seal(table.register).is_as_it_should_be


def test_half_filled_benches_go_with_the_visit_into_the_next_day_without_a_line(table: BenchTable) -> None:
    keep(table, 0, "a")
    following = go_on_with_visit(table.register, WHO, visit=table.visit.uid, on=date(2026, 11, 25))
    assert [draft.body for draft in drafts_of_visit(table.register, following.uid)] == ["a"]
    assert drafts_of_visit(table.register, table.visit.uid) == ()
    assert "bench_draft" not in {entity for entity, *_ in lines_of(table.register)}


@pytest.mark.parametrize(
    ("alter", "words"),
    [
        ("UPDATE bench_draft SET body = '{\"typed\"'", "cannot be read"),
        ("UPDATE bench_draft SET body = '[]'", "cannot be read"),
        ("UPDATE bench_draft SET body = CAST(x'ff41' AS TEXT)", "cannot be read"),
        ("UPDATE bench_draft SET visit = '00000000000000000000000000'", "is not there"),
        ("UPDATE bench_draft SET appliance = '00000000000000000000000000'", "is not there"),
    ],
)
def test_a_damaged_bench_is_told_takes_nothing_from_soundness_and_keeps_nothing_else_from_being_saved(
    table: BenchTable, alter: str, words: str
) -> None:
    keep(table, 0, "{}")
    table.register.connection.execute("PRAGMA foreign_keys = OFF")
    table.register.connection.execute(alter)
    table.register.connection.execute("PRAGMA foreign_keys = ON")
    assert len(half_filled(table.register.connection)) == 1
    found = verify_with_seal(table.register)
    assert found.problems == ()
    (remark,) = found.remarks
    assert words in remark
    assert "nothing that was kept depends on it" in remark
    assert len(drafts_left(table.register)) <= 1
    assert bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(1)) is None
    keep(table, 0, '{"a":1}')
    kept = bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(0))
    assert kept is not None
    assert kept.body == '{"a":1}'
    table.register.connection.execute("UPDATE bench_draft SET body = CAST(x'ff41' AS TEXT) WHERE uid = ?", (kept.uid,))
    finish(table)
    assert bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(0)) is None
    assert list(problems(table.register)) == []


def test_a_copy_holds_what_is_half_filled_and_one_without_it_is_not_the_same(table: BenchTable) -> None:
    settings = Settings()
    first = keep_copy(table.register, settings=settings, now=Instant(NOON))
    assert same_kept_copy(table.register) == first.path
    keep(table, 0, "{}")
    assert same_kept_copy(table.register) is None
    second = keep_copy(table.register, settings=settings, now=Instant(NOON + 1000))
    assert same_kept_copy(table.register) == second.path
    table.register.close()
    for copy, said in ((first, "what is typed on 1 half-filled bench."), (second, "It lacks nothing: both end")):
        prepared = prepare_restore(table.register.path, copy.path)
        assert said in lacking_sentences(prepared)[0]
        prepared.discard()


def test_nothing_is_kept_half_filled_where_the_register_may_only_be_read(
    table: BenchTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    table.register.close()
    monkeypatch.setattr(file_opening, "_may_write", lambda _path: False)
    with open_register(table.register.path) as register, pytest.raises(RegisterUnusable, match="nothing was saved"):
        keep_bench_draft(register, WHO, visit=table.visit.uid, appliance=table.uid(0), at="12:00:00", body="{}")
