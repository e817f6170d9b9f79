"""Asset lists: planned without a trace, taken in as one change, and never laxer than what their categories assume."""

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook
from xlsxwriter import Workbook

from appreg.core.judging.verdicts import judge
from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, RcdKind, ServiceState
from appreg.core.records.kept_records import Appliance, Category, Location, Site
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.source_file import read_source
from appreg.progress import Stopped
from appreg.register.checking.checking import problems
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.importing.apply_import import apply_import
from appreg.tasks.importing.cell_values import CellReader
from appreg.tasks.importing.plan_import import plan_import
from appreg.tasks.importing.row_plans import ImportPlan, RowState
from appreg.tasks.importing.stated_facts import new_with, refused_facts
from appreg.tasks.importing.write_problems import write_problems
from appreg.tasks.records.add_appliance import drafted
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.undo_step import undo_step
from tests.tasks.import_lists import NOW, mapping_of, planned, taken
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

READINGS = [
    combined(earth=earth, insulation=insulation)
    for earth in ("0.03", "0.11", "0.4", "")
    for insulation in (">299", "1.5", "0.6", "")
]
"""From what passes everywhere to what passes nowhere."""

LIST = """tag,name,location,make,serial,power_w
HR-001,Kettle,Kitchen,Ellar,K1,2200
HR-002,Toaster,kitchen,Ellar,T1,900
HR-003,Desk lamp,Office,,,
"""


def _states(plan: ImportPlan) -> list[RowState]:
    return [row.state for row in plan.rows]


def _told(plan: ImportPlan, line: int) -> str:
    (row,) = [row for row in plan.rows if row.line == line]
    return " ".join(problem.sentence for problem in row.problems)


def _tags(here: WorkedSite) -> list[str]:
    return sorted(item.tag for item in here.register.find(Appliance))


def test_a_plan_keeps_nothing(here: WorkedSite, tmp_path: Path) -> None:
    plan = planned(here, tmp_path, LIST)
    assert _states(plan) == [RowState.NEW] * 3
    assert plan.made == {"location": ("Office (Harbour Row)",)}
    assert not here.register.find(Appliance)
    assert [each.name for each in here.register.find(Location)] == ["Kitchen"]
    kettle = {change.field: change.after for change in plan.rows[0].changes}
    assert kettle["tag"] == "HR-001"
    assert kettle["location"] == "Kitchen"
    assert kettle["power"] == "2200"


def test_what_is_taken_in_is_found_again_and_a_second_time_changes_nothing(here: WorkedSite, tmp_path: Path) -> None:
    done = taken(here, planned(here, tmp_path, LIST))
    assert done.copy is not None
    assert done.copy.exists()
    assert _tags(here) == ["HR-001", "HR-002", "HR-003"]
    again = planned(here, tmp_path, LIST)
    assert _states(again) == [RowState.SAME] * 3
    assert taken(here, again).step is None
    assert not list(problems(here.register))


def test_an_import_is_undone_as_one_step(here: WorkedSite, tmp_path: Path) -> None:
    kept = here.kettle("HR-001")
    done = taken(here, planned(here, tmp_path, "tag,name,location\nHR-001,Jug kettle,Store\nHR-002,Toaster,Store\n"))
    assert here.again(kept).name == "Jug kettle"
    assert done.step is not None
    undo_step(here.register, WHO, done.step)
    assert here.again(kept) == kept
    assert _tags(here) == ["HR-001"]
    assert [each.name for each in here.register.find(Location)] == ["Kitchen"]
    assert not list(problems(here.register))


def _category(here: WorkedSite, **fields: object) -> Category:
    known: dict[str, Any] = {
        "name": "Jug kettle",
        "code": "JUG",
        "appliance_class": ApplianceClass.CLASS_I,
        "equipment_type": EquipmentType.PORTABLE,
        "cord_csa_mm2": Decimal("0.75"),
        "cord_length_m": Decimal("0.8"),
        **fields,
    }
    return add_category(here.register, WHO, **known)


def test_what_a_list_states_is_assumed_until_somebody_reads_it_from_the_item(here: WorkedSite, tmp_path: Path) -> None:
    _category(here)
    text = "tag,name,location,appliance_class,cord_length_m\nHR-001,Jug kettle,Kitchen,2,50\n"
    taken(here, planned(here, tmp_path, text))
    (item,) = here.register.find(Appliance)
    assert (item.appliance_class, item.cord_length_m) == (ApplianceClass.CLASS_II, Decimal(50))
    assert {"class", "cord-length", "cord-size"} <= set(item.assumed or ())


@settings(max_examples=60)
@given(
    stated=st.fixed_dictionaries(
        {},
        optional={
            "appliance_class": st.sampled_from(["1", "2", "3"]),
            "equipment_type": st.sampled_from([each.value for each in EquipmentType]),
            "cord_csa_mm2": st.sampled_from(["0.5", "0.75", "1.5", "4"]),
            "cord_length_m": st.sampled_from(["0.2", "3", "80"]),
            "power_w": st.sampled_from(["10", "900", "9000"]),
            "heating": st.sampled_from(["yes", "no"]),
            "mineral_insulated": st.sampled_from(["yes", "no"]),
            "tinned": st.sampled_from(["yes", "no"]),
            "double_leakage": st.sampled_from(["yes", "no"]),
            "unsuitable_500v": st.sampled_from(["yes", "no"]),
            "unearthed_metal": st.sampled_from(["yes", "no"]),
            "functional_earth": st.sampled_from(["yes", "no"]),
            "battery": st.sampled_from(["yes", "no"]),
            "connection": st.sampled_from([each.value for each in Connection]),
            "rcd": st.sampled_from([each.value for each in RcdKind]),
            "rcd_rating_ma": st.sampled_from(["10", "300"]),
            "phases": st.sampled_from(["1", "3"]),
            "rated_volts": st.sampled_from(["12", "230"]),
            "flat_earth_limit_ohm": st.sampled_from(["0.01", "5"]),
        },
    ),
    heats=st.booleans(),
    metal=st.booleans(),
)
def test_no_word_of_a_list_makes_a_pass_of_what_its_category_alone_does_not_pass(
    stated: dict[str, str], heats: bool, metal: bool
) -> None:
    category = Category(
        uid=Uid("c"), code="JUG", name="Jug", appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE, cord_csa_mm2=Decimal("0.75"), cord_length_m=Decimal("0.8"),
        power_w=2000, heating=heats, unearthed_metal=metal, microwave=metal,
    )  # fmt: skip
    site = Site(uid=Uid("s"), client=Uid("k"), name="Row", prefix="HR", environment="low-risk")
    reader = CellReader(Appliance, today=TODAY)
    plain = drafted(Uid("i"), site, Uid("l"), category, "Jug")
    said, _ = refused_facts(plain, {name: reader.value(name, text) for name, text in stated.items()}, read=False)
    listed, book = new_with(plain, said, read=False), load_rule_book("gb")
    for entries in READINGS:
        alone, told = (judge(facts_of(each, category), entries, book) for each in (plain, listed))
        assert told.outcome is not Outcome.PASS or alone.outcome is Outcome.PASS, (stated, entries)


def test_what_was_read_from_an_item_is_not_changed_by_a_list(here: WorkedSite, tmp_path: Path) -> None:
    kept = here.kettle("HR-001")
    text = "tag,power_w,make\nHR-001,3000,Ellar\n"
    plan = planned(here, tmp_path, text)
    assert _states(plan) == [RowState.CONFLICT]
    assert "“2200” was read from the item" in _told(plan, 2)
    taken(here, plan)
    assert here.again(kept) == kept
    read = planned(here, tmp_path, text, read_from_items=True)
    assert _states(read) == [RowState.CHANGED]
    taken(here, read)
    assert (here.again(kept).power_w, here.again(kept).make) == (3000, "Ellar")


def test_what_could_make_a_limit_laxer_is_not_taken_and_said(here: WorkedSite, tmp_path: Path) -> None:
    text = "tag,name,location,double_leakage,longer_interval_reason\nHR-001,Kettle,Kitchen,yes,well kept\n"
    plan = planned(here, tmp_path, text)
    assert (_states(plan), plan.remarks) == ([RowState.NEW], 1)
    assert "double_leakage: “yes” is not taken from a list" in _told(plan, 2)
    taken(here, plan)
    (item,) = here.register.find(Appliance)
    assert (item.double_leakage, item.longer_interval_reason) == (False, "")


def test_an_unknown_category_keeps_the_name_and_the_class_is_not_known(here: WorkedSite, tmp_path: Path) -> None:
    taken(here, planned(here, tmp_path, "tag,category,location\nHR-001,Steam zither,Kitchen\n"))
    (item,) = here.register.find(Appliance)
    assert (item.name, item.category, item.appliance_class) == ("Steam zither", None, ApplianceClass.UNKNOWN)


def test_rows_that_may_mean_another_item_are_in_conflict_and_tell_which(here: WorkedSite, tmp_path: Path) -> None:
    text = "tag,name,location,make,serial\nHR-001,Kettle,Kitchen,Ellar,K1\nHR-002,Kettle,Kitchen,Ellar,K2\n"
    taken(here, planned(here, tmp_path, text))
    told = planned(
        here,
        tmp_path,
        "tag,name,location,make,serial\n"
        "HR-001,Kettle,Kitchen,Ellar,K9\n"  # another serial number
        "HR-050,Kettle,Kitchen,Ellar,K2\n"  # another tag
        ",Kettle,Kitchen,Ellar,K1\n"  # no tag: by serial number and make
        ",Kettle,Kitchen,,K2\n"  # a serial number alone
        ",Kettle,Kitchen,,\n"  # nothing to tell it by
        "HR-002,Kettle,Kitchen,Ellar,K2\n"
        "hr-002,Kettle,Kitchen,,\n",  # twice
    )
    conflict, same = RowState.CONFLICT, RowState.SAME
    assert _states(told) == [conflict, conflict, same, conflict, conflict, conflict, conflict]
    assert "HR-001 has “K1”" in _told(told, 2)
    assert "HR-002 (Kettle)" in _told(told, 3)
    assert "stands in line" in _told(told, 8)
    assert taken(here, told).step is None


def test_an_item_without_a_tag_is_known_by_serial_number_and_make(here: WorkedSite, tmp_path: Path) -> None:
    text = "name,location,make,serial\nKettle,Kitchen,Ellar,K1\nToaster,Kitchen,Ellar,T1\n"
    taken(here, planned(here, tmp_path, text))
    assert _tags(here) == ["HR-001", "HR-002"]
    assert _states(planned(here, tmp_path, text)) == [RowState.SAME] * 2


@pytest.mark.parametrize(("kept", "listed"), [("0017", "17"), ("17", "00017")])
def test_a_tag_that_lost_the_zeros_in_front_of_it_is_no_new_item(
    here: WorkedSite, tmp_path: Path, kept: str, listed: str
) -> None:
    here.kettle(kept)
    plan = planned(here, tmp_path, f"tag,name\n{listed},Kettle\n18,Lamp\n")
    assert [row.state for row in plan.rows] == [RowState.CONFLICT, RowState.NEW]
    assert f"{listed} may be {kept} (Kettle)" in plan.rows[0].problems[0].sentence


def test_a_tag_that_a_merge_left_on_two_items_says_which_of_neither(
    here: WorkedSite, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    two = here.kettle("HR-001"), here.kettle("HR-002")
    for module in ("item_identity", "plan_results"):
        monkeypatch.setattr(f"appreg.tasks.importing.{module}.items_tagged", lambda *_: {"hr-001": two})
    items = planned(here, tmp_path, "tag,name\nHR-001,Kettle\n")
    results = planned(here, tmp_path, "tag,date,person\nHR-001,2026-11-20,WA\n", ImportKind.RESULTS)
    assert [plan.rows[0].state for plan in (items, results)] == [RowState.CONFLICT] * 2


def test_items_that_nothing_tells_apart_get_tags_once(here: WorkedSite, tmp_path: Path) -> None:
    text = "name,location\nDesk lamp,Office\nDesk lamp,Office\n"
    assert _states(planned(here, tmp_path, text)) == [RowState.CONFLICT] * 2
    taken(here, planned(here, tmp_path, text, give_tags=True))
    assert _tags(here) == ["HR-001", "HR-002"]
    assert _states(planned(here, tmp_path, text, give_tags=True)) == [RowState.CONFLICT] * 2


def test_an_item_of_another_site_stays_there(here: WorkedSite, tmp_path: Path) -> None:
    other = add_site(here.register, WHO, client=here.client.uid, name="Quay", prefix="QU", environment="low-risk")
    kept = here.kettle("HR-001")
    plan = planned(here, tmp_path, "tag,name,location\nHR-001,Kettle,Hall\n", site=other.uid)
    assert _states(plan) == [RowState.CONFLICT]
    assert taken(here, plan).step is None
    assert here.again(kept) == kept
    assert not here.register.find(Location, site=other.uid)


def test_rows_name_their_site_and_without_one_they_are_asked_for_it(here: WorkedSite, tmp_path: Path) -> None:
    text = "tag,name,location,site\nHR-001,Kettle,Kitchen,harbour row\nHR-002,Kettle,Kitchen,\nHR-003,Kettle,Hall,Nowhere\n"
    plan = planned(here, tmp_path, text, site=None)
    assert _states(plan) == [RowState.NEW, RowState.CONFLICT, RowState.CONFLICT]
    assert "--site" in _told(plan, 3)
    assert "no site “Nowhere”" in _told(plan, 4)


def test_a_list_takes_items_out_of_service_but_never_back(here: WorkedSite, tmp_path: Path) -> None:
    kept = here.kettle("HR-001")
    done = taken(here, planned(here, tmp_path, "tag,state\nHR-001,disposed\n"))
    assert here.again(kept).state is ServiceState.DISPOSED
    back = planned(here, tmp_path, "tag,state\nHR-001,in service\n")
    assert (_states(back), back.remarks) == ([RowState.SAME], 1)
    assert done.step is not None
    undo_step(here.register, WHO, done.step)
    assert here.again(kept) == kept


def test_nothing_is_taken_in_where_the_register_was_changed_since_the_plan(here: WorkedSite, tmp_path: Path) -> None:
    plan = planned(here, tmp_path, LIST)
    here.kettle("HR-003")
    with pytest.raises(InputRefused, match="changed meanwhile"):
        taken(here, plan)
    assert _tags(here) == ["HR-003"]


def test_an_import_that_is_stopped_keeps_nothing(here: WorkedSite, tmp_path: Path) -> None:
    plan = planned(here, tmp_path, LIST)
    with pytest.raises(Stopped):
        apply_import(here.register, WHO, plan, settings=Settings(), now=NOW, progress=lambda done, _whole: done < 20)
    assert not here.register.find(Appliance)


@pytest.mark.parametrize("name", ["[red]", "=1+1", "Łódź – Ελλάδα", "שלום", "x" * 300])
def test_hostile_names_come_in_as_they_stand_and_again_as_the_same(here: WorkedSite, tmp_path: Path, name: str) -> None:
    text = f"tag,name,location\nHR-001,{name},{name}\n"
    taken(here, planned(here, tmp_path, text))
    (item,) = here.register.find(Appliance)
    assert item.name == name
    assert _states(planned(here, tmp_path, text)) == [RowState.SAME]


def test_a_cord_set_feeds_what_its_list_names_wherever_that_stands(here: WorkedSite, tmp_path: Path) -> None:
    text = """tag,name,location,feeds
HR-004,Cord set,Kitchen,hr-005
HR-005,Kettle,Kitchen,
HR-006,Cord set,Kitchen,HR-006
HR-007,Cord set,Kitchen,HR-099
"""
    plan = planned(here, tmp_path, text)
    assert [row.state for row in plan.rows] == [RowState.NEW] * 4
    assert "HR-006 cannot feed itself" in _told(plan, 4)
    assert "no item bears HR-099" in _told(plan, 5)
    taken(here, plan)
    items = {str(item.tag): item for item in here.register.find(Appliance)}
    assert items["HR-004"].feeds == items["HR-005"].uid
    assert items["HR-006"].feeds is items["HR-007"].feeds is None
    again = planned(here, tmp_path, text.replace("HR-099", "HR-005"))
    (change,) = [row for row in again.rows if row.state is RowState.CHANGED]
    assert [(each.field, each.before, each.after) for each in change.changes] == [("feeds", "", "HR-005")]
    assert list(problems(here.register)) == []


def test_notes_may_be_as_long_as_on_the_form_and_names_may_not(here: WorkedSite, tmp_path: Path) -> None:
    text = f"tag,name,notes\nHR-001,Kettle,{'n' * 4000}\nHR-002,{'n' * 401},\nHR-003,Fan,{'n' * 4001}\n"
    plan = planned(here, tmp_path, text)
    assert _states(plan) == [RowState.NEW, RowState.UNREADABLE, RowState.UNREADABLE]
    assert "401 characters are too many" in _told(plan, 3)
    assert "4001 characters are too many" in _told(plan, 4)


def test_a_workbook_comes_in_and_what_is_left_out_of_it_comes_back_mended(here: WorkedSite, tmp_path: Path) -> None:
    (book := Workbook(tmp_path / "list.xlsx")).add_worksheet()
    for at, line in enumerate([("tag", "name", "power_w"), ("HR-001", "Kettle", 2200), ("HR-002", "Fan", "strong")]):
        book.worksheets()[0].write_row(at, 0, line)
    book.close()
    mapping = mapping_of("tag,name,power_w")
    source = read_source(tmp_path / "list.xlsx")
    plan = plan_import(here.register, source, mapping, site=here.site.uid, today=TODAY)
    assert _states(plan) == [RowState.NEW, RowState.UNREADABLE]
    assert write_problems(here.register, plan.order, tmp_path / "mend.xlsx") == 1
    taken(here, plan)
    mended = load_workbook(tmp_path / "mend.xlsx")
    assert [cell.value for cell in mended.active[2]][:3] == ["HR-002", "Fan", "strong"]
    mended.active["C2"] = 45
    mended.save(tmp_path / "mended.xlsx")
    again = plan_import(here.register, read_source(tmp_path / "mended.xlsx"), mapping, site=here.site.uid, today=TODAY)
    assert _states(again) == [RowState.NEW]
    taken(here, again)
    assert {str(item.tag): item.power_w for item in here.register.find(Appliance)} == {"HR-001": 2200, "HR-002": 45}
