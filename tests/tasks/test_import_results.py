"""Results from a table go through the judge of the Bench, are gathered into visits, and are taken in once."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import (
    Appliance,
    FindingRecord,
    Inspection,
    Instrument,
    LabelKind,
    Person,
    QueuedLabel,
    StatedInspection,
    Visit,
)
from appreg.core.records.stated_outcomes import StatedOutcome
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.mapping_told import with_field
from appreg.register.checking.checking import problems
from appreg.tasks.importing.plan_import import plan_import
from appreg.tasks.importing.row_plans import ImportPlan, PlannedRow, RowState
from appreg.tasks.records.undo_step import undo_step
from appreg.tasks.standing.check_standings import standing_problems
from appreg.tasks.standing.queue_labels import remove_from_tray, waiting_labels
from tests.tasks import import_lists
from tests.tasks.import_lists import taken
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

HEAD = "tag,date,kind,person,instrument,visual,earth-continuity,insulation,insulation_volts,functional,outcome,next,remarks\n"


def planned(here: WorkedSite, folder: Path, *rows: str, **more: Any) -> ImportPlan:
    return import_lists.planned(here, folder, HEAD + "".join(f"{row}\n" for row in rows), ImportKind.RESULTS, **more)


def result(tag: str, day: str, earth: str = "0.08", outcome: str = "pass", *, insulation: str = ">299") -> str:
    return f"{tag},{day},combined,WA,bt-1,ok,{earth},{insulation},500,ok,{outcome},,"


def stated(tag: str, day: str, outcome: str, next_on: str = "") -> str:
    return f"{tag},{day},combined,Hill,,,,,,,{outcome},{next_on},"


def row_at(plan: ImportPlan, line: int) -> PlannedRow:
    (row,) = [row for row in plan.rows if row.line == line]
    return row


def all_sound(here: WorkedSite) -> None:
    assert list(problems(here.register)) == []
    assert list(standing_problems(here.register)) == []


# Limits: reference values, sections 1.1 and 4. A flexible cord of 0.75 mm², 0.8 m has 26.0 mΩ/m × 0.8 m = 0.0208 Ω
# (IEC 60228, class 5), so Class I has at most 0.1 + 0.0208 Ω; insulation of Class I at least 1 MΩ (second-hand).
@pytest.mark.parametrize(
    ("readings", "outcome", "said"),
    [
        (("0.12", ">299"), Outcome.PASS, ""),
        (("0.13", ">299"), Outcome.FAIL, "stated as pass, but it fails: earth continuity 0.13 Ω"),
        (("0.08", "1.00"), Outcome.PASS, ""),
        (("0.08", "0.99"), Outcome.FAIL, "stated as pass, but it fails: insulation resistance 0.99 MΩ"),
        (("", ">299"), Outcome.INCOMPLETE, "stated as pass, but nothing proves it: earth continuity"),
        (("<0.5", ">299"), Outcome.INCOMPLETE, "stated as pass, but nothing proves it: earth continuity"),
    ],
)
def test_what_is_stated_as_a_pass_is_judged_by_our_limits(
    here: WorkedSite, tmp_path: Path, readings: tuple[str, str], outcome: Outcome, said: str
) -> None:
    item = here.kettle("HR-001")
    plan = planned(here, tmp_path, result("HR-001", "2026-11-20", readings[0], insulation=readings[1]))
    row = row_at(plan, 2)
    assert row.state is RowState.NEW
    assert len(row.disagreements) == bool(said)
    assert " ".join(row.disagreements).casefold().startswith(said.casefold())
    assert here.register.find(Inspection) == []
    taken(here, plan)
    (kept,) = here.register.find(Inspection)
    assert (kept.outcome, here.again(item).last_outcome) == (outcome, outcome)
    assert ("stated as pass in list.csv, line 2" in kept.remarks) == bool(said)
    all_sound(here)


def test_a_result_comes_to_what_the_same_readings_come_to_when_they_are_typed(here: WorkedSite, tmp_path: Path) -> None:
    typed, read = here.kettle("HR-001"), here.kettle("HR-002")
    by_hand = here.record(typed, combined(), here.visit(date(2026, 11, 20)))
    taken(here, planned(here, tmp_path, result("hr-002", "2026-11-20")))
    (kept,) = here.register.find(Inspection, appliance=read.uid)
    assert kept.visit == by_hand.inspection.visit
    assert (kept.item_facts, kept.advice, kept.missing) == (
        by_hand.inspection.item_facts, by_hand.inspection.advice, by_hand.inspection.missing,
    )  # fmt: skip
    found = here.register.find(FindingRecord, inspection=kept.uid)
    own = {(each.check_name, each.reading, each.limit_high, each.finding, each.method, each.source) for each in found}
    assert own == {
        (each.check_name, each.reading, each.limit_high, each.finding, each.method, each.source)
        for each in by_hand.findings
    }
    after, like = here.again(read), here.again(typed)
    assert (after.next_visual, after.next_test, after.state) == (like.next_visual, like.next_test, like.state)


def test_rows_are_gathered_into_visits_and_a_second_import_changes_nothing(here: WorkedSite, tmp_path: Path) -> None:
    for number in (1, 2, 3):
        here.kettle(f"HR-00{number}")
    rows = [result("HR-003", "2026-11-20"), result("HR-001", "2026-11-20"), result("HR-002", "2026-11-21"),
            stated("HR-002", "2025-05-01", "pass")]  # fmt: skip
    done = taken(here, planned(here, tmp_path, *rows))
    assert len(here.register.find(Visit)) == 2
    assert dict(done.plan.made)["visit"] == (
        "20 Nov 2026 at Harbour Row by Wren A",
        "21 Nov 2026 at Harbour Row by Wren A",
    )
    again = planned(here, tmp_path, *rows)
    assert {row.state for row in again.rows} == {RowState.SAME}
    assert taken(here, again).step is None


def test_the_past_comes_in_as_it_happened_whatever_its_order_in_the_table(here: WorkedSite, tmp_path: Path) -> None:
    item = here.kettle("HR-001")
    rows = [
        result("HR-001", "2026-03-02"),
        result("HR-001", "2025-03-02", "0.9", "fail"),
        result("HR-001", "2024-03-02"),
    ]
    taken(here, planned(here, tmp_path, *rows))
    after = here.again(item)
    assert (after.last_outcome, after.last_date, after.state) == (
        Outcome.PASS, date(2026, 3, 2), ServiceState.IN_SERVICE,
    )  # fmt: skip
    (action,) = here.register.find(RemedialAction)
    assert action.closed_by == after.last_inspection
    assert "not stated" in action.repair
    all_sound(here)


def test_a_failure_of_the_past_stands_against_an_older_record_as_typed_ones_do(
    here: WorkedSite, tmp_path: Path
) -> None:
    item = here.record(here.kettle("HR-001"), combined()).appliance
    taken(here, planned(here, tmp_path, result("HR-001", "2025-03-02", "0.9", "fail")))
    assert (here.again(item).last_outcome, here.again(item).state) == (Outcome.FAIL, ServiceState.WITHDRAWN)
    all_sound(here)


def test_a_stated_failure_whose_readings_pass_holds_the_item(here: WorkedSite, tmp_path: Path) -> None:
    item = here.kettle("HR-001")
    plan = planned(here, tmp_path, result("HR-001", "2026-11-20", outcome="fail"))
    assert "held as failed" in row_at(plan, 2).disagreements[0]
    taken(here, plan)
    assert (here.again(item).last_outcome, here.again(item).state) == (Outcome.FAIL, ServiceState.WITHDRAWN)
    taken(here, planned(here, tmp_path, result("HR-001", "2026-11-23")))
    assert (here.again(item).last_outcome, here.again(item).state) == (Outcome.PASS, ServiceState.IN_SERVICE)
    all_sound(here)


def test_a_row_without_readings_is_stated_by_another(here: WorkedSite, tmp_path: Path) -> None:
    item = here.kettle("HR-001")
    taken(here, planned(here, tmp_path, stated("HR-001", "2026-11-20", "pass", "2026-12-20")))
    (told,) = here.register.find(StatedInspection)
    assert (told.outcome, told.stated_by, told.line, told.source) == (StatedOutcome.PASS, "Hill", 2, "list.csv")
    after = here.again(item)
    assert (after.last_outcome, after.next_test) == (None, date(2026, 12, 20))
    assert here.register.find(Inspection) == []
    all_sound(here)


def test_what_is_not_certain_is_told_and_kept_out(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle("HR-001"), combined(), here.visit(date(2026, 11, 20)))
    plan = planned(
        here, tmp_path,
        result("HR-099", "2026-11-20"), result("HR-001", "2026-11-20", "0.07"), result("HR-001", "2027-03-02"),
        "HR-001,2026-11-21,combined,Nobody [red],bt-1,ok,0.08,>299,500,ok,pass,,",
        "HR-001,2026-11-22,combined,WA,=1+1,ok,0.08,>299,500,ok,pass,,",
        "HR-001,2026-11-23,combined,WA,bt-1,ok,0.08 kg,>299,500,ok,pass,,",
    )  # fmt: skip
    told = {row.line: (row.state, " ".join(each.sentence for each in row.problems)) for row in plan.rows}
    assert {line: state for line, (state, _) in told.items()} == {
        2: RowState.CONFLICT, 3: RowState.CONFLICT, 4: RowState.UNREADABLE, 5: RowState.CONFLICT,
        6: RowState.CONFLICT, 7: RowState.UNREADABLE,
    }  # fmt: skip
    for line, words in {
        2: "HR-099",
        3: "other readings",
        4: "lies ahead",
        5: "Nobody [red]",
        6: "=1+1",
        7: "0.08 kg",
    }.items():
        assert words in told[line][1]
    assert taken(here, plan).step is None


def test_an_import_of_results_is_undone_and_can_be_made_again(here: WorkedSite, tmp_path: Path) -> None:
    before = here.kettle("HR-001")
    rows = [result("HR-001", "2025-03-02", "0.9", "fail"), result("HR-001", "2026-03-02"),
            stated("HR-001", "2024-05-01", "fail")]  # fmt: skip
    done = taken(here, planned(here, tmp_path, *rows))
    assert done.step is not None
    undo_step(here.register, WHO, done.step)
    assert here.again(before) == before
    all_sound(here)
    again = planned(here, tmp_path, *rows)
    assert {row.state for row in again.rows} == {RowState.NEW}
    taken(here, again)
    assert here.register.get(Appliance, before.uid).last_outcome is Outcome.PASS
    all_sound(here)


def test_people_and_instruments_that_nobody_knows_are_added_only_where_asked(here: WorkedSite, tmp_path: Path) -> None:
    here.kettle("HR-001")
    row = result("HR-001", "2026-11-20").replace("WA,bt-1", "Will Ash,=1+1")
    late = result("HR-001", "2026-11-10").replace("WA,bt-1", "Łódź – Ελλάδα,=1+1")
    refused = result("HR-099", "2026-11-20").replace("WA,bt-1", "Nobody [red],none")
    without = planned(here, tmp_path, row)
    assert "--add-people" in row_at(without, 2).problems[0].sentence
    plan = planned(here, tmp_path, row, late, refused, add_people=True)
    assert plan.made["person"] == ("Łódź – Ελλάδα", "Will Ash")
    assert plan.made["instrument"] == ("=1+1",)
    taken(here, plan)
    people = {each.name: each.initials for each in here.register.find(Person)}
    assert people == {"Wren A": "WA", "Will Ash": "WAs", "Łódź – Ελλάδα": "ŁΕ"}
    (added,) = here.register.find(Instrument, serial="=1+1")
    assert (added.calibration_due, added.accuracy) == (None, "")
    assert len({each.person for each in here.register.find(Inspection)}) == 2
    again = planned(here, tmp_path, row, late, add_people=True)
    assert ({each.state for each in again.rows}, again.made) == ({RowState.SAME}, {})
    all_sound(here)


def test_labels_wait_only_where_asked_and_only_for_the_newest_of_an_item(here: WorkedSite, tmp_path: Path) -> None:
    tags = [here.kettle(f"HR-00{number}") for number in range(1, 6)]
    here.record(tags[4], combined(), here.visit(date(2026, 11, 22)))
    remove_from_tray(here.register, WHO, labels=[each.uid for each in here.register.find(QueuedLabel)])
    rows = [
        result("HR-001", "2025-11-20"), result("HR-001", "2026-11-20"), result("HR-002", "2026-11-20", "0.9", "fail"),
        stated("HR-003", "2026-11-20", "pass"), result("HR-004", "2026-11-20", ""), result("HR-005", "2026-11-21"),
    ]  # fmt: skip
    done = taken(here, planned(here, tmp_path, *rows))
    assert here.register.find(QueuedLabel) == []
    assert done.step is not None
    undo_step(here.register, WHO, done.step)
    taken(here, planned(here, tmp_path, *rows, labels=True))
    waiting = {str(here.again(each.appliance).tag): each for each in here.register.find(QueuedLabel)}
    assert {tag: each.kind for tag, each in waiting.items()} == {
        "HR-001": LabelKind.PASS, "HR-002": LabelKind.DO_NOT_USE,
    }  # fmt: skip
    assert here.register.get(Inspection, waiting["HR-001"].inspection).date == date(2026, 11, 20)
    assert all(not each.untrue for each in waiting_labels(here.register, today=date(2026, 11, 24)))
    all_sound(here)


@pytest.mark.parametrize(
    ("heads", "cells"),
    [
        ("Visual,Earth (ohm),IR (kOhms),Function", "ok,0.08,500,ok"),
        ("Visual,Earth,Unit,IR,Unit,Function", "ok,0.08,Ohm,500,kOhm,ok"),
        ("Visual,Earth (MΩ),IR (MΩ),Function", "ok,0.08,>299,ok"),
        ("Visual,Earth (ohm),IR (MΩ),Function", "ok,OL,>299,ok"),
        ("Visual,Earth (ohm),IR (MΩ),Leakage (Amps),Function", "ok,0.08,>299,0.05,ok"),
        ("Visual fault,Earth (ohm),IR (MΩ),Function", "yes,0.08,>299,ok"),
        ("Visual,Earth (ohm),IR (MΩ),Function", "ok,,>299,ok"),
        ("Visual,Earth (ohm),IR (MΩ),Function", "ok,pass,pass,ok"),
        ("Visual,Earth (ohm),IR (MΩ),Function", "ok,0.08,299 mΩ,ok"),
        ("Visual,Earth (ohm),IR (MΩ),Function", ",,,"),
        ("IR (MΩ),IR (MΩ)", ">299,0.2"),
    ],
)
def test_no_doubt_of_a_download_makes_a_pass_or_a_later_date(
    here: WorkedSite, tmp_path: Path, heads: str, cells: str
) -> None:
    before = here.kettle("HR-001")
    text = f"Tag,Date,Tested by,{heads},Result,Next due\nHR-001,2026-11-20,WA,{cells},Pass,2036-11-20\n"
    source = import_lists.source_of(tmp_path, text)
    mapping = guess_mapping(source, ImportKind.RESULTS)
    for problem in mapping.problems:
        mapping = with_field(source, mapping, problem.position, "")
    plan = plan_import(here.register, source, mapping, site=here.site.uid, today=TODAY)
    if plan.taken:
        taken(here, plan)
    item = here.register.get(Appliance, before.uid)
    assert item.last_outcome is not Outcome.PASS
    assert item.next_test == before.next_test or (item.next_test or TODAY) <= (before.next_test or TODAY)
    all_sound(here)
