"""Two desks on one register: neither overwrites in silence what the other changed."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.kept_records import AssetTag, InspectionKind, Location, Record
from appreg.core.records.work_records import IntervalKind, OverrideScope, RemedialAction
from appreg.register.engine.places import Place
from appreg.register.history.journal import journal_end
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.keep_settings import Settings, load_settings, save_changed_settings, save_settings
from appreg.tasks.inspecting.finish_bench import finish_bench
from appreg.tasks.inspecting.record_repair import record_repair
from appreg.tasks.planning.override_interval import override_for_items, override_interval, take_back_overrides
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.change_record import change_record, move_items, set_category
from appreg.tasks.records.merge_changes import ChangedMeanwhile
from appreg.tasks.records.set_service_state import set_many_states
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site


@pytest.fixture
def here(tmp_path: Path, place: Place) -> Iterator[WorkedSite]:
    """A site in a file, then in a database."""
    with worked_site(tmp_path, place=place) as site:
        yield site


@pytest.fixture
def other(here: WorkedSite) -> Iterator[Register]:
    """The same register, opened by another desk."""
    with here.register.reopen() as register:
        yield register


def test_a_form_opened_earlier_keeps_what_another_desk_changed_in_other_fields(
    here: WorkedSite, other: Register
) -> None:
    opened = here.kettle()
    change_record(other, "JB", replace(opened, serial="S-77", notes="lid loose"))
    kept = change_record(here.register, WHO, replace(opened, make="Brewwell"), opened=opened)
    assert (kept.make, kept.serial, kept.notes) == ("Brewwell", "S-77", "lid loose")
    assert here.again(opened) == kept


def test_the_same_field_is_refused_with_both_values_who_and_when_and_taken_on_a_knowing_second_save(
    here: WorkedSite, other: Register
) -> None:
    opened = here.kettle()
    change_record(other, "JB", replace(opened, serial="S-77", make="Theirs"))
    typed = replace(opened, serial="S-99")
    with pytest.raises(ChangedMeanwhile) as refused:
        change_record(here.register, WHO, typed, opened=opened)
    sentence = str(refused.value)
    assert sentence.startswith("serial: another desk changed it meanwhile to “S-77” (JB, ")
    assert "UTC); here stands “S-99”." in sentence
    assert here.again(opened).serial == "S-77"
    base = refused.value.base
    kept = change_record(here.register, WHO, replace(base, serial="S-99"), opened=base)
    assert (kept.serial, kept.make) == ("S-99", "Theirs")


def test_the_same_value_typed_at_both_desks_is_no_conflict(here: WorkedSite, other: Register) -> None:
    opened = here.kettle()
    change_record(other, "JB", replace(opened, serial="S-77"))
    kept = change_record(here.register, WHO, replace(opened, serial="S-77", make="Ours"), opened=opened)
    assert (kept.serial, kept.make) == ("S-77", "Ours")


def test_a_result_recorded_while_a_form_is_open_stays(here: WorkedSite, other: Register) -> None:
    opened = here.kettle()
    desk = WorkedSite(other, here.client, here.site, here.kitchen, here.person, here.instrument)
    desk.record(opened, combined(earth="0.52"))
    kept = change_record(here.register, WHO, replace(opened, make="Ours"), opened=opened)
    assert (kept.make, kept.state, kept.last_outcome) == ("Ours", ServiceState.WITHDRAWN, "fail")


@pytest.mark.parametrize(
    ("name", "field", "values"),
    [
        ("site", "address", ("1 Quay", "2 Quay")),
        ("client", "agent_name", ("Wick", "Fenn")),
        ("kitchen", "name", ("Scullery", "Pantry")),
        ("person", "qualifications", ("level 2", "level 4")),
        ("instrument", "calibration_due", (date(2027, 5, 1), date(2027, 6, 1))),
    ],
)
def test_every_kind_of_record_is_guarded(
    here: WorkedSite, other: Register, name: str, field: str, values: tuple[Any, Any]
) -> None:
    theirs, ours = values
    opened: Any = getattr(here, name)
    change_record(other, "JB", replace(opened, **{field: theirs}))
    with pytest.raises(ChangedMeanwhile, match=f"^{field.replace('_', ' ')}: another desk"):
        change_record(here.register, WHO, replace(opened, **{field: ours}), opened=opened)
    assert getattr(_now(here.register, opened), field) == theirs


def test_a_visit_and_a_category_are_guarded_too(here: WorkedSite, other: Register) -> None:
    visit = here.visit()
    kind = add_category(
        here.register,
        WHO,
        code="KET",
        name="Kettle",
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE,
    )
    change_record(other, "JB", replace(visit, notes="gate code"))
    change_record(other, "JB", replace(kind, power_w=2000))
    with pytest.raises(ChangedMeanwhile, match="“gate code”"):
        change_record(here.register, WHO, replace(visit, notes="no key"), opened=visit)
    with pytest.raises(ChangedMeanwhile, match="“2000”"):
        change_record(here.register, WHO, replace(kind, power_w=3000), opened=kind)


def test_items_moved_elsewhere_since_they_were_chosen_are_not_moved_again_in_silence(
    here: WorkedSite, other: Register
) -> None:
    items = [here.kettle().uid, here.kettle().uid]
    hall = add_location(here.register, WHO, site=here.site.uid, name="Hall")
    attic = add_location(here.register, WHO, site=here.site.uid, name="Attic")
    since = journal_end(here.register)
    change_record(other, "JB", replace(here.again(items[1]), make="Brewwell"))
    assert move_items(here.register, WHO, appliances=items[:1], location=hall.uid, since=since) == 1
    since = journal_end(here.register)
    move_items(other, "JB", appliances=items[1:], location=attic.uid)
    with pytest.raises(
        ChangedMeanwhile, match=r"HR-002: another desk changed its location meanwhile to “Attic” \(JB, "
    ):
        move_items(here.register, WHO, appliances=items, location=hall.uid, since=since)
    assert here.register.get(Location, here.again(items[1]).location) == attic
    with pytest.raises(ChangedMeanwhile, match="location"):
        move_items(here.register, WHO, appliances=items[1:], location=hall.uid, since=since)
    assert set_category(here.register, WHO, appliances=items, category=None, since=since) == 2


def test_a_state_set_meanwhile_is_said_before_another_is_set(here: WorkedSite, other: Register) -> None:
    kettle = here.kettle()
    since = journal_end(here.register)
    set_many_states(other, "JB", appliances=[kettle.uid], state=ServiceState.MISSING, reason="not in the room")
    with pytest.raises(ChangedMeanwhile, match="HR-001: another desk changed its state meanwhile to “missing”"):
        set_many_states(here.register, WHO, appliances=[kettle.uid], state=ServiceState.DISPOSED, since=since)
    since = journal_end(here.register)
    (kept,) = set_many_states(here.register, WHO, appliances=[kettle.uid], state=ServiceState.DISPOSED, since=since)
    assert kept.state is ServiceState.DISPOSED


def test_an_interval_set_meanwhile_is_said_and_setting_one_writes_no_stale_item(
    here: WorkedSite, other: Register
) -> None:
    kettle = here.record(here.kettle(), combined()).appliance
    since = journal_end(here.register)
    change_record(other, "JB", replace(kettle, serial="S-77"))
    said: dict[str, Any] = {"what": IntervalKind.TEST, "reason": "rough use", "on": TODAY}
    override_for_items(here.register, WHO, items=[kettle], period="P6M", since=since, **said)
    assert here.again(kettle).serial == "S-77"
    since = journal_end(here.register)
    override_interval(other, "JB", scope=OverrideScope.APPLIANCE, target=kettle.uid, period="P3M", **said)
    with pytest.raises(ChangedMeanwhile, match=r"^Every: another desk set it to P3M, because rough use \(JB, "):
        override_for_items(here.register, WHO, items=[kettle], period="P1Y", since=since, **said)
    with pytest.raises(ChangedMeanwhile):
        take_back_overrides(here.register, WHO, targets=[kettle.uid], what=IntervalKind.TEST, since=since)


def test_a_repair_written_meanwhile_is_not_overwritten(here: WorkedSite, other: Register) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.52"))
    (opened,) = here.register.find(RemedialAction, appliance=kettle.uid)
    record_repair(other, "JB", action=opened.uid, repair="new cord", on=TODAY)
    with pytest.raises(ChangedMeanwhile, match="repair: another desk changed it meanwhile to “new cord”"):
        record_repair(here.register, WHO, action=opened.uid, repair="new plug", on=TODAY, opened=opened)
    kept = record_repair(here.register, WHO, action=opened.uid, told="the cook", opened=opened)
    assert (kept.repair, kept.told) == ("new cord", "the cook")


def test_an_item_inspected_at_another_desk_meanwhile_is_said_before_a_further_inspection_is_kept(
    here: WorkedSite, other: Register
) -> None:
    kettle, visit = here.kettle(), here.visit()
    desk = WorkedSite(other, here.client, here.site, here.kitchen, here.person, here.instrument)
    theirs = desk.record(kettle, combined(earth="0.52"), visit).inspection
    ours: dict[str, Any] = {
        "appliance": kettle.uid, "visit": visit.uid, "kind": InspectionKind.COMBINED, "entries": combined(),
    }  # fmt: skip
    with pytest.raises(ChangedMeanwhile, match="HR-001 was inspected elsewhere meanwhile: fail on 24 Nov 2026"):
        finish_bench(here.register, WHO, seen=(), **ours)
    assert here.again(kettle).last_inspection == theirs.uid
    saved = finish_bench(here.register, WHO, seen=(theirs.uid,), put_right="cleaned", **ours)
    assert saved.inspection.supersedes is None


def test_settings_of_two_windows_both_stay(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    save_settings(path, Settings(keys={"app.find": "ctrl+k"}))
    first = second = load_settings(path)
    save_changed_settings(path, first, replace(first, theme="light", keys={"app.find": "ctrl+k", "app.quit": "f12"}))
    save_changed_settings(path, second, replace(second, due_within_days=60, keys={}))
    now = load_settings(path)
    assert (now.theme, now.due_within_days, dict(now.keys)) == ("light", 60, {"app.quit": "f12"})


def test_a_tag_taken_at_another_desk_meanwhile_is_refused(here: WorkedSite, other: Register) -> None:
    opened = here.kettle()
    change_record(other, "JB", replace(opened, tag=AssetTag("HR-500")))
    with pytest.raises(ChangedMeanwhile, match="tag: another desk changed it meanwhile to “HR-500”"):
        change_record(here.register, WHO, replace(opened, tag=AssetTag("HR-600")), opened=opened)


def _now(register: Register, record: Record) -> Record:
    kind: Any = type(record)
    found: Record = register.get(kind, record.uid)
    return found
