"""Recording an inspection: what is kept, what moves, and what is refused."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.checks import Check, EarthEntry, Entries
from appreg.core.records.kept_records import FindingRecord, Inspection, InspectionKind, LabelKind, QueuedLabel
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.core.values.readings import Unit, parse_reading
from appreg.errors import InputRefused
from appreg.register.checking.checking import problems
from appreg.tasks.inspecting.open_bench import open_bench
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.record_repair import open_actions, record_repair
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

LOOK = InspectionKind.VISUAL


def waiting(here: WorkedSite) -> list[QueuedLabel]:
    return here.register.find(QueuedLabel, printed_on=None)


def test_a_pass_moves_both_dates_and_queues_a_pass_label(here: WorkedSite) -> None:
    saved = here.record(here.kettle(), combined())
    assert saved.inspection.outcome is Outcome.PASS
    # HSG107 3rd ed., earthed equipment: visual 6 months to 1 year, test 1 to 2 years; the shorter end.
    assert (saved.appliance.next_visual, saved.appliance.next_test) == (date(2027, 5, 24), date(2027, 11, 24))
    assert [each.kind for each in waiting(here)] == [LabelKind.PASS]
    assert here.again(saved.appliance) == saved.appliance


def test_the_outcome_is_computed_and_keeps_reading_limit_and_source(here: WorkedSite) -> None:
    saved = here.record(here.kettle(), combined(earth="0.14"))
    earth = next(each for each in saved.findings if each.check_name == "earth-continuity")
    # 0.1 + R with R = 26.0 mΩ/m × 0.8 m (CoP 15.4; IEC 60228 class 5, second-hand).
    assert (earth.reading, str(earth.limit_high), earth.finding) == ("0.14", "0.1208", "fail")
    assert "26.0" in earth.arithmetic
    assert earth.source
    assert here.register.find(FindingRecord, inspection=saved.inspection.uid) == list(saved.findings)


def test_a_failure_withdraws_the_item_and_moves_no_date(here: WorkedSite) -> None:
    kettle = here.kettle()
    passed = here.record(kettle, combined(), here.visit(date(2025, 11, 24))).appliance
    failed = here.record(kettle, combined(earth="0.5"))
    assert failed.appliance.state is ServiceState.WITHDRAWN
    assert (failed.appliance.next_visual, failed.appliance.next_test) == (passed.next_visual, passed.next_test)
    assert failed.label is not None
    assert failed.label.kind is LabelKind.DO_NOT_USE
    assert [each.kind for each in waiting(here)] == [LabelKind.DO_NOT_USE]


def test_an_incomplete_inspection_moves_no_date_and_queues_no_label(here: WorkedSite) -> None:
    kettle = here.kettle()
    passed = here.record(kettle, combined(), here.visit(date(2025, 11, 24))).appliance
    saved = here.record(kettle, combined(insulation=""))
    assert saved.inspection.outcome is Outcome.INCOMPLETE
    assert saved.inspection.missing == ("insulation",)
    assert saved.label is None
    assert waiting(here) == [], "the label of the earlier pass no longer tells the latest result"
    assert (saved.appliance.next_visual, saved.appliance.next_test) == (passed.next_visual, passed.next_test)
    assert saved.appliance.state is ServiceState.IN_SERVICE


def test_an_item_that_never_passed_is_due_since_it_was_first_seen(here: WorkedSite) -> None:
    saved = here.record(here.kettle(), combined(insulation=""))
    assert (saved.appliance.next_visual, saved.appliance.next_test) == (TODAY, TODAY)


def test_an_inconclusive_reading_is_never_a_pass(here: WorkedSite) -> None:
    saved = here.record(here.kettle(), combined(earth="<0.5"))
    assert saved.inspection.outcome is Outcome.INCOMPLETE
    assert saved.label is None


def test_a_visual_inspection_moves_only_the_visual_date(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2026, 1, 24)))
    saved = here.record(kettle, Entries(visual=True), kind=LOOK)
    assert saved.inspection.outcome is Outcome.PASS
    assert (saved.appliance.next_visual, saved.appliance.next_test) == (date(2027, 5, 24), date(2027, 1, 24))
    assert [each.check_name for each in saved.findings] == ["visual"]


def test_a_visual_inspection_that_was_not_done_is_incomplete(here: WorkedSite) -> None:
    saved = here.record(here.kettle(), Entries(), kind=LOOK)
    assert saved.inspection.outcome is Outcome.INCOMPLETE
    assert saved.inspection.missing == ("visual",)


def test_readings_of_a_visual_inspection_are_refused_rather_than_lost(here: WorkedSite) -> None:
    with pytest.raises(InputRefused, match="combined inspection and test to keep the readings"):
        here.record(here.kettle(), combined(), kind=LOOK)
    assert here.register.find(Inspection) == []


def test_a_repaired_item_returns_only_by_a_complete_pass(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.5"))
    with pytest.raises(
        InputRefused, match=r"failed on \d\d \w{3} 20\d\d: a visual inspection alone cannot put that right"
    ):
        here.record(kettle, Entries(visual=True), kind=LOOK)
    with pytest.raises(InputRefused, match="has not passed since"):
        set_service_state(here.register, WHO, appliance=kettle.uid, state=ServiceState.IN_SERVICE)
    assert here.record(kettle, combined(insulation="")).appliance.state is ServiceState.WITHDRAWN
    back = here.record(kettle, combined())
    assert back.appliance.state is ServiceState.IN_SERVICE
    assert back.appliance.last_outcome is Outcome.PASS


def test_an_item_withdrawn_by_a_person_stays_withdrawn_when_it_passes(here: WorkedSite) -> None:
    kettle = here.kettle()
    set_service_state(here.register, WHO, appliance=kettle.uid, state=ServiceState.WITHDRAWN, reason="not wanted")
    assert here.record(kettle, combined()).appliance.state is ServiceState.WITHDRAWN


def test_a_missing_item_that_passes_is_back_in_service(here: WorkedSite) -> None:
    kettle = here.kettle()
    set_service_state(here.register, WHO, appliance=kettle.uid, state=ServiceState.MISSING)
    assert here.record(kettle, combined(insulation="")).appliance.state is ServiceState.MISSING
    assert here.record(kettle, combined()).appliance.state is ServiceState.IN_SERVICE


def test_a_disposed_item_is_not_inspected(here: WorkedSite) -> None:
    kettle = here.kettle()
    set_service_state(here.register, WHO, appliance=kettle.uid, state=ServiceState.DISPOSED)
    with pytest.raises(InputRefused, match="disposed of"):
        here.record(kettle, combined())


def test_a_failure_opens_a_remedial_action_that_the_pass_closes(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.5"))
    (action,) = open_actions(here.register, kettle.uid)
    assert action.what == "earth continuity: 0.5 Ω"
    with pytest.raises(InputRefused, match="no date is given"):
        record_repair(here.register, WHO, action=action.uid, repair="new cord")
    record_repair(here.register, WHO, action=action.uid, repair="new cord", on=TODAY, told="Row Lettings")
    saved = here.record(kettle, combined())
    closed = here.register.get(RemedialAction, action.uid)
    assert (closed.repair, closed.told, closed.closed_by) == ("new cord", "Row Lettings", saved.inspection.uid)
    assert open_actions(here.register) == ()


def test_a_correction_replaces_the_record_and_says_why(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    wrong = here.record(kettle, combined(earth="0.8"), visit)
    with pytest.raises(InputRefused, match="say why"):
        here.record(kettle, combined(), visit, supersedes=wrong.inspection.uid)
    right = here.record(kettle, combined(), visit, supersedes=wrong.inspection.uid, reason="0.08 was meant")
    assert right.appliance.state is ServiceState.IN_SERVICE
    assert right.appliance.last_inspection == right.inspection.uid
    assert right.inspection.supersedes == wrong.inspection.uid
    assert here.register.get(Inspection, wrong.inspection.uid) == wrong.inspection, "the old record stays as it was"
    assert [each.kind for each in waiting(here)] == [LabelKind.PASS]
    assert open_actions(here.register) == ()


def test_a_record_is_corrected_once_and_on_its_own_visit(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    first = here.record(kettle, combined(), visit)
    with pytest.raises(InputRefused, match="belongs to the visit"):
        here.record(kettle, combined(), here.visit(), supersedes=first.inspection.uid, reason="x")
    here.record(kettle, combined(), visit, supersedes=first.inspection.uid, reason="x")
    with pytest.raises(InputRefused, match="not one that counts"):
        here.record(kettle, combined(), visit, supersedes=first.inspection.uid, reason="x")
    with pytest.raises(InputRefused, match="no inspection is named"):
        here.record(kettle, combined(), visit, reason="x")


def test_correcting_an_earlier_record_leaves_a_later_result_in_force(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit(date(2025, 11, 24))
    early = here.record(kettle, combined(), visit)
    late = here.record(kettle, combined())
    corrected = here.record(kettle, combined(earth="0.09"), visit, supersedes=early.inspection.uid, reason="slip")
    assert corrected.label is None
    assert corrected.appliance.last_inspection == late.inspection.uid
    assert corrected.appliance.next_test == late.appliance.next_test


def test_correcting_a_failure_repaired_the_same_day_does_not_bring_it_back(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    failed = here.record(kettle, combined(earth="0.5"), visit)
    here.record(kettle, combined(), visit)
    corrected = here.record(kettle, combined(earth="0.52"), visit, supersedes=failed.inspection.uid, reason="slip")
    assert corrected.inspection.outcome is Outcome.FAIL
    assert corrected.appliance.state is ServiceState.IN_SERVICE
    assert corrected.appliance.last_outcome is Outcome.PASS


def test_correcting_a_failure_to_doubt_does_not_return_the_item(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    failed = here.record(kettle, combined(earth="0.5"), visit)
    doubt = here.record(kettle, combined(earth=""), visit, supersedes=failed.inspection.uid, reason="misread")
    assert doubt.inspection.outcome is Outcome.INCOMPLETE
    assert doubt.appliance.state is ServiceState.WITHDRAWN


def test_a_pass_entered_late_does_not_move_dates_back(here: WorkedSite) -> None:
    kettle = here.kettle()
    new = here.record(kettle, combined())
    old = here.record(kettle, combined(), here.visit(date(2024, 11, 24)))
    assert old.label is None
    assert old.caution == ""
    assert old.appliance == new.appliance


def test_an_item_of_another_site_is_refused(here: WorkedSite) -> None:
    other = add_site(here.register, WHO, client=here.client.uid, name="Elsewhere", prefix="EL", environment="low-risk")
    visit = replace(here.visit(), site=other.uid)
    here_visit = change_record(here.register, WHO, visit)
    with pytest.raises(InputRefused, match="does not belong to the site"):
        here.record(here.kettle(), combined(), here_visit)


def test_taking_an_inspection_back_puts_everything_back(here: WorkedSite) -> None:
    kettle = here.kettle()
    before = here.record(kettle, combined(), here.visit(date(2025, 11, 24))).appliance
    visit = here.visit()
    failed = here.record(kettle, combined(earth="0.5"), visit)
    assert take_back_inspection(here.register, WHO, failed.inspection.uid) == before
    assert [past.taken_back for past in open_bench(here.register, kettle.uid, today=TODAY).history] == [True, False]
    assert open_actions(here.register) == ()
    assert [each.kind for each in waiting(here)] == [LabelKind.PASS]
    assert here.record(kettle, combined(), visit).appliance.state is ServiceState.IN_SERVICE
    assert list(problems(here.register)) == []


def test_words_and_attempts_are_kept_with_their_check(here: WorkedSite) -> None:
    saved = record_inspection(
        here.register,
        WHO,
        appliance=here.kettle().uid,
        visit=here.visit().uid,
        kind=InspectionKind.COMBINED,
        entries=combined(),
        remarks="  scale cleared ",
        check_remarks={Check.EARTH_CONTINUITY: "clip on the base"},
        attempts={Check.EARTH_CONTINUITY: ("10:01:02 0.31", "10:01:20 0.08")},
    )
    earth = next(each for each in saved.findings if each.check_name == "earth-continuity")
    assert saved.inspection.remarks == "scale cleared"
    assert (earth.remark, earth.attempts) == ("clip on the base", ("10:01:02 0.31", "10:01:20 0.08"))


def test_a_remark_that_would_act_on_a_terminal_is_refused_and_nothing_is_kept(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    with pytest.raises(InputRefused, match="remarks"):
        record_inspection(
            here.register,
            WHO,
            appliance=kettle.uid,
            visit=visit.uid,
            kind=InspectionKind.COMBINED,
            entries=combined(),
            remarks="\x1b[2J",
        )
    assert here.register.find(Inspection) == []


def test_the_item_as_judged_outlives_a_later_change_of_the_item(here: WorkedSite) -> None:
    kettle = here.kettle()
    saved = here.record(kettle, combined())
    change_record(here.register, WHO, replace(here.again(kettle), power_w=3000))
    assert '"power_kw":"2.2"' in here.register.get(Inspection, saved.inspection.uid).item_facts


def test_a_statutory_maximum_asks_for_a_test_where_the_table_asks_for_none(tmp_path: Path) -> None:
    with worked_site(tmp_path, landlord_profile="gb-scotland-private") as here:
        lamp = add_appliance(
            here.register,
            WHO,
            site=here.site.uid,
            location=here.kitchen.uid,
            name="Lamp",
            appliance_class=ApplianceClass.CLASS_II,
            equipment_type=EquipmentType.PORTABLE,
        )
        saved = here.record(lamp, combined(earth=""))
    # Housing (Scotland) Act 2006 s. 19A: at most every 5 years (published).
    assert saved.appliance.next_test == date(2031, 11, 24)


def test_the_instruments_own_accuracy_is_stated_beside_the_reading(here: WorkedSite) -> None:
    change_record(here.register, WHO, replace(here.instrument, accuracy="earth-continuity: 30 %"))
    saved = here.record(here.kettle(), combined(earth="0.10"))
    earth = next(each for each in saved.findings if each.check_name == "earth-continuity")
    # U = 30 % of 0.10 Ω (EN 61557-16, second-hand); the limit 0.1208 lies within it.
    assert (str(earth.uncertainty), earth.zone, earth.finding) == ("0.030", "conditional pass", "pass")
    insulation = next(each for each in saved.findings if each.check_name == "insulation")
    assert (insulation.uncertainty, insulation.zone) == (None, "")


def test_a_reading_referred_to_20_degrees_states_no_uncertainty(here: WorkedSite) -> None:
    change_record(here.register, WHO, replace(here.instrument, accuracy="earth-continuity: 30 %"))
    warm = EarthEntry(reading=parse_reading("0.10", Unit.OHM), conductor_celsius=Decimal(25))
    saved = here.record(here.kettle(), replace(combined(), earth=warm))
    earth = next(each for each in saved.findings if each.check_name == "earth-continuity")
    assert earth.uncertainty is None
