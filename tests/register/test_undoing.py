from datetime import date

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Inspection, LabelKind, QueuedLabel, Record
from appreg.core.records.work_records import BenchDraft, InspectionWithdrawal, RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.history.journal import entries_of
from appreg.register.history.undoing import undo_change
from appreg.register.lists.inspection_lists import (
    effective_inspections,
    findings_of,
    inspections_of,
    inspections_of_visit,
    is_withdrawn,
    successor_of,
)
from appreg.register.opening.register_file import Register
from tests.register.journal_alone import last_change
from tests.register.sample_register import DRAFT, FINDING, INSPECTION, KETTLE, VISIT, build_register


def _save(register: Register, *, outcome: Outcome = Outcome.PASS, supersedes: Uid | None = None) -> tuple[Uid, Uid]:
    """What saving a bench does: inspection, finding, result on the appliance, label, action, draft gone."""
    appliance = register.get(Appliance, KETTLE.uid)
    with register.change("Sam", "record inspection") as change:
        inspection = replace(
            INSPECTION, uid=change.new_uid(), appliance=appliance.uid, outcome=outcome, supersedes=supersedes
        )
        change.put(inspection)
        change.put(replace(FINDING, uid=change.new_uid(), inspection=inspection.uid))
        change.put(
            replace(
                appliance, last_inspection=inspection.uid, last_date=date(2026, 11, 24), last_outcome=outcome,
                next_test=date(2027, 11, 24),
            )
        )  # fmt: skip
        label = QueuedLabel(
            uid=change.new_uid(), appliance=appliance.uid, inspection=inspection.uid, kind=LabelKind.PASS
        )
        change.put(label)
        change.put(
            RemedialAction(
                uid=change.new_uid(), appliance=appliance.uid, inspection=inspection.uid, what="x",
                opened_on=date(2026, 11, 24),
            )
        )  # fmt: skip
        for draft in register.find(BenchDraft, appliance=appliance.uid):
            change.remove(draft, noted=True)
        return change.uid, inspection.uid


def _state(register: Register) -> list[list[Record]]:
    kinds: list[type[Record]] = [Appliance, QueuedLabel, RemedialAction, BenchDraft]
    return [register.find(kind) for kind in kinds]


def test_undoing_a_save_puts_everything_back_and_takes_the_inspection_back(place: Place) -> None:
    with build_register(place) as register:
        before = _state(register)
        change, inspection = _save(register)
        assert _state(register) != before
        assert [found.uid for found in effective_inspections(register, KETTLE.uid)] == [inspection]
        undone = undo_change(register, "Ann", change)
        assert _state(register) == before
        assert register.find(BenchDraft) == [DRAFT]
        assert effective_inspections(register, KETTLE.uid) == []
        assert [found.uid for found in inspections_of(register, KETTLE.uid)] == [inspection]
        assert len(findings_of(register, inspection)) == 1
        assert is_withdrawn(register, inspection)
        summary = last_change(register)
        assert summary is not None
        assert (summary.uid, summary.who, summary.reason) == (undone, "Ann", f"undo {change}")
        assert list(problems(register)) == []


def test_an_undoing_can_be_undone(place: Place) -> None:
    with build_register(place) as register:
        change, inspection = _save(register)
        after = _state(register)
        undo_again = undo_change(register, "Sam", undo_change(register, "Sam", change))
        assert _state(register) == after
        assert [found.uid for found in effective_inspections(register, KETTLE.uid)] == [inspection]
        assert {entry.entity for entry in entries_of(register, undo_again)} >= {"inspection_withdrawal", "appliance"}
        assert list(problems(register)) == []


def test_the_second_last_save_is_undone_after_the_last(place: Place) -> None:
    with build_register(place) as register:
        before = _state(register)
        first, _ = _save(register, outcome=Outcome.FAIL)
        second, _ = _save(register)
        with pytest.raises(InputRefused, match="KL-001 has been changed since"):
            undo_change(register, "Sam", first)
        undo_change(register, "Sam", second)
        undo_change(register, "Sam", first)
        assert _state(register) == before


def test_a_change_is_undone_only_once(place: Place) -> None:
    with build_register(place) as register:
        change, _ = _save(register)
        undo_change(register, "Sam", change)
        lines = register.rows("SELECT count(*) FROM journal")
        with pytest.raises(InputRefused):
            undo_change(register, "Sam", change)
        assert register.rows("SELECT count(*) FROM journal") == lines


def test_a_printed_label_stands_in_the_way(place: Place) -> None:
    with build_register(place) as register:
        change, inspection = _save(register)
        (label,) = register.find(QueuedLabel, inspection=inspection)
        with register.change("Sam", "print labels") as printing:
            printing.put(replace(label, printed_on=date(2026, 11, 25)))
        with pytest.raises(InputRefused, match="queued label has been changed since"):
            undo_change(register, "Sam", change)
        assert not is_withdrawn(register, inspection)
        undo_change(register, "Sam", printing.uid)
        undo_change(register, "Sam", change)
        assert is_withdrawn(register, inspection)


def test_a_new_draft_is_not_pushed_aside_by_the_old(place: Place) -> None:
    with build_register(place) as register:
        change, _ = _save(register)
        newer = replace(DRAFT, uid=register.new_uid(), body='{"new":1}')
        with register.change("Sam") as drafting:
            drafting.put(newer)
        undo_change(register, "Sam", change)
        assert register.find(BenchDraft) == [newer]


def test_an_inspection_that_was_corrected_is_taken_back_only_after_its_correction(place: Place) -> None:
    with build_register(place) as register:
        with register.change("Sam") as change:
            first = replace(INSPECTION, uid=change.new_uid(), appliance=KETTLE.uid)
            change.put(first)
        with register.change("Sam") as correcting:
            second = replace(first, uid=correcting.new_uid(), supersedes=first.uid)
            correcting.put(second)
        assert successor_of(register, first.uid) == second.uid
        assert effective_inspections(register, KETTLE.uid) == [second]
        assert second in inspections_of_visit(register, VISIT.uid)
        assert first not in inspections_of_visit(register, VISIT.uid)
        assert first in inspections_of_visit(register, VISIT.uid, effective=False)
        with pytest.raises(InputRefused, match="corrects that one"):
            undo_change(register, "Sam", change.uid)
        undo_change(register, "Sam", correcting.uid)
        assert effective_inspections(register, KETTLE.uid) == [first]
        undo_change(register, "Sam", change.uid, reason="wrong item")
        assert effective_inspections(register, KETTLE.uid) == []
        assert register.find(InspectionWithdrawal, inspection=first.uid)[0].reason == "wrong item"


def test_what_later_records_belong_to_is_not_undone_from_under_them(place: Place) -> None:
    with build_register(place) as register:
        with register.change("Sam") as change:
            appliance = replace(KETTLE, uid=change.new_uid(), tag=type(KETTLE.tag)("KL-009"))
            change.put(appliance)
        with register.change("Sam") as inspecting:
            inspecting.put(replace(INSPECTION, uid=inspecting.new_uid(), appliance=appliance.uid))
        with pytest.raises(InputRefused, match="Other records belong to it"):
            undo_change(register, "Sam", change.uid)
        assert register.get(Appliance, appliance.uid) == appliance


def test_an_unknown_change_and_the_making_of_the_register_are_refused(place: Place) -> None:
    with build_register(place) as register:
        with pytest.raises(NotFound):
            undo_change(register, "Sam", Uid("nothing"))
        ((making,),) = register.rows('SELECT "change" FROM journal WHERE sequence = 1')
        with pytest.raises(InputRefused, match="start a new register"):
            undo_change(register, "Sam", making)
        assert len(register.find(Inspection)) == 2
