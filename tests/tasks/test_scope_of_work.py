"""A scope of work drawn up, sent out, and held against what came back."""

import csv
import io
from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.checks import Check, Entries
from appreg.core.records.kept_records import Appliance, InspectionKind, Site
from appreg.core.records.work_records import NotInspectedBecause
from appreg.core.rules.check_minutes import usual_minutes
from appreg.errors import InputRefused
from appreg.exchange.scope_file import read_scope_file, write_scope_file
from appreg.schedule.scope_of_work import ComparedItem, ScopeResult
from appreg.tasks.inspecting.record_not_inspected import record_not_inspected
from appreg.tasks.planning.compare_scope import compare_scope
from appreg.tasks.planning.draw_up_scope import scope_of_items, scope_of_sites
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

LATER = TODAY + timedelta(days=7)


def lamp(here: WorkedSite) -> Appliance:
    return add_appliance(
        here.register,
        WHO,
        site=here.site.uid,
        location=here.kitchen.uid,
        name="=Lamp [red]",
        appliance_class=ApplianceClass.CLASS_II,
        equipment_type=EquipmentType.HAND_HELD,
    )


@pytest.fixture
def items(here: WorkedSite) -> list[Appliance]:
    """Five kettles and a lamp, one of them inspected on the very day on which the scope is drawn up."""
    listed = [*(here.kettle() for _ in range(5)), lamp(here)]
    here.record(listed[0], combined())
    return listed


@pytest.fixture(params=["scope.csv", "scope.json"])
def sent(here: WorkedSite, items: list[Appliance], tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    """The file of the scope of the whole site, as it went out."""
    assert items
    out: Path = tmp_path / request.param
    write_scope_file(scope_of_sites(here.register, sites=[here.site.uid], today=TODAY), out)
    return out


def compared(here: WorkedSite, file: Path) -> dict[str, ComparedItem]:
    comparison = compare_scope(here.register, read_scope_file(file), today=LATER)
    return {each.tag: each for each in comparison.items}


def test_a_scope_counts_classes_types_checks_and_minutes(here: WorkedSite, items: list[Appliance]) -> None:
    set_service_state(here.register, WHO, appliance=items[4].uid, state=ServiceState.WITHDRAWN)
    scope = scope_of_sites(here.register, sites=[here.site.uid], today=TODAY)
    kettle, hand_held = scope.counts
    # HSG107, offices and the like (second-hand): no test of Class II, a look alone; Class I both.
    assert (kettle.appliance_class, kettle.equipment_type, kettle.items) == ("1", "portable", 4)
    assert (hand_held.appliance_class, hand_held.work, hand_held.items) == ("2", InspectionKind.VISUAL, 1)
    assert dict(scope.checks)[Check.EARTH_CONTINUITY] == 4
    assert dict(scope.checks)[Check.VISUAL] == 5
    assert scope.items[-1].checks == (Check.VISUAL,)
    assert scope.items[0].minutes == usual_minutes().of(scope.items[0].checks)
    assert scope.minutes == sum(count.minutes for count in scope.counts)
    assert [(each.why, each.items) for each in scope.left_out] == [("withdrawn", 1)]
    assert "1 site · 5 items" in scope.words


def test_only_what_falls_due_until_a_day_is_wanted_and_a_look_where_that_is_all(
    here: WorkedSite, items: list[Appliance]
) -> None:
    looked = here.again(items[0])
    assert looked.next_visual is not None
    assert looked.next_test is not None
    assert looked.next_visual < looked.next_test
    for until, work in ((looked.next_visual, InspectionKind.VISUAL), (looked.next_test, InspectionKind.COMBINED)):
        scope = scope_of_sites(here.register, sites=[here.site.uid], today=TODAY, until=until)
        (line,) = [each for each in scope.items if each.key == looked.uid]
        assert (line.work, line.due) == (work, until)
        assert (line.checks == (Check.VISUAL,)) == (work is InspectionKind.VISUAL)
    near = scope_of_sites(here.register, sites=[here.site.uid], today=TODAY, until=TODAY)
    assert looked.uid not in {each.key for each in near.items}
    assert [(each.why, each.items) for each in near.left_out] == [("due later", 1)]


def test_access_is_told_as_the_site_has_it_without_closures_that_are_past(here: WorkedSite) -> None:
    here.kettle()
    site = replace(
        here.site,
        responsible="Ida Quill",
        responsible_contact="ext. 5",
        closures=("2025-12-24..2026-01-02 past", "2026-12-24..2027-01-02 works closed"),
    )
    change_record(here.register, WHO, site)
    (place,) = scope_of_sites(here.register, sites=[site.uid], today=TODAY).sites
    assert place.access == (
        "people are let in Mon-Fri",
        "closed 2026-12-24..2027-01-02 works closed",
        "to be arranged with Ida Quill, ext. 5",
    )


def test_what_came_back_is_done_failed_not_done_or_extra(here: WorkedSite, items: list[Appliance], sent: Path) -> None:
    done, failed, looked, refused, mended = items[1:6]
    visit = here.visit(LATER)
    here.record(done, combined(), visit)
    here.record(failed, combined(earth="0.9"), visit)
    here.record(looked, Entries(visual=True), visit, kind=InspectionKind.VISUAL)
    record_not_inspected(
        here.register,
        WHO,
        appliance=refused.uid,
        visit=visit.uid,
        because=NotInspectedBecause.NO_ACCESS,
        note="locked",
    )
    here.record(mended, replace(combined(earth=""), visual=False), visit)
    here.record(mended, combined(earth=""), visit)
    new = here.kettle()
    here.record(new, combined(earth="0.9"), visit)
    told = compared(here, sent)
    assert told[items[0].tag].result is ScopeResult.NOT_DONE, "it was inspected before the scope was made"
    assert told[done.tag].result is ScopeResult.DONE
    assert (told[failed.tag].result, told[failed.tag].said) == (ScopeResult.FAILED, "earth continuity: 0.9 Ω")
    assert (told[looked.tag].result, told[looked.tag].said) == (ScopeResult.NOT_DONE, "looked at, not tested")
    assert (told[refused.tag].result, told[refused.tag].said) == (ScopeResult.NOT_DONE, "no access: locked")
    assert told[mended.tag].result is ScopeResult.DONE
    assert (told[new.tag].result, told[new.tag].failed) == (ScopeResult.EXTRA, True)
    comparison = compare_scope(here.register, read_scope_file(sent), today=LATER)
    assert comparison.words == "6 items wanted: 2 done, 1 failed, 3 not done, 1 extra"
    assert comparison.items[0].result is ScopeResult.FAILED


@pytest.mark.usefixtures("items")
def test_a_failure_entered_late_for_an_earlier_day_still_stands_against_a_pass_before_it(
    here: WorkedSite, items: list[Appliance], sent: Path
) -> None:
    here.record(items[1], combined(), here.visit(LATER))
    here.record(items[1], combined(earth="0.9"), here.visit(TODAY - timedelta(days=3)))
    assert compared(here, sent)[items[1].tag].result is ScopeResult.FAILED
    here.record(items[2], combined(), here.visit(TODAY - timedelta(days=3)))
    assert compared(here, sent)[items[2].tag].result is ScopeResult.NOT_DONE, "dated before the scope"
    here.record(extra := here.kettle(), combined(earth="0.9"), here.visit(TODAY - timedelta(days=3)))
    assert (compared(here, sent)[extra.tag].result, compared(here, sent)[extra.tag].failed) == (ScopeResult.EXTRA, True)


def test_a_table_that_came_back_with_prices_and_a_sum_is_read_and_hostile_names_do_nothing(
    here: WorkedSite, items: list[Appliance], tmp_path: Path
) -> None:
    out = tmp_path / "scope.csv"
    write_scope_file(scope_of_sites(here.register, sites=[here.site.uid], today=TODAY), out)
    text = out.read_bytes().decode()
    assert "'=Lamp [red]" in text
    assert "price" not in text.splitlines()[0]
    heads, *rows = csv.reader(io.StringIO(text, newline=""))
    back = io.StringIO(newline="")
    csv.writer(back).writerows([[*heads, "price"], *([*row, "2.50"] for row in rows), [*[""] * len(heads), "15"]])
    out.write_text(back.getvalue())
    read = read_scope_file(out)
    assert [(each.key, each.name) for each in read.items] == [(item.uid, item.name) for item in items]
    assert read.made_on == TODAY
    assert read.sites == (here.site.uid,)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the file is empty"),
        ("tag,item\nHR-001,Kettle\n", "column"),
        ("line,tag,item,site,work,items,key\nitem,HR-001,Kettle,Row,combined,1,x\n", "tells when it was made"),
        ("line,tag,item,site,work,items,key\nscope,,,,,1,2026-11-24\nitem,HR-001,K,R,test,1,x\n", "line 3, work"),
        ("line,tag,item,site,work,items,key\nscope,,,,,0,2026-11-24\n", "names no item"),
        ('{"format": "appreg.items"}', "no scope of work"),
    ],
)
def test_a_file_that_is_no_scope_is_refused_with_its_place(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "back.csv"
    file.write_text(text)
    with pytest.raises(InputRefused, match=said):
        read_scope_file(file)


def test_some_items_alone_are_a_scope_and_nothing_wanted_is_none(here: WorkedSite, items: list[Appliance]) -> None:
    other = add_site(here.register, WHO, client=here.client.uid, name="Pier", prefix="PI", environment="low-risk")
    add_location(here.register, WHO, site=other.uid, name="Yard")
    scope = scope_of_items(here.register, items=[items[3].uid, items[1].uid], today=TODAY)
    assert [line.key for line in scope.items] == [items[3].uid, items[1].uid]
    assert [site.key for site in scope.sites] == [here.site.uid]
    with pytest.raises(InputRefused, match="there is no item"):
        scope_of_sites(here.register, sites=[other.uid], today=TODAY)
    assert here.register.get(Site, other.uid).name == "Pier"


def test_a_scope_of_another_register_is_refused(here: WorkedSite, tmp_path: Path) -> None:
    file = tmp_path / "back.csv"
    file.write_text(
        "line,tag,item,site,work,items,key\nscope,,,,,1,2026-11-24\nsite,,,R,,1,s\nitem,ZZ-1,K,R,combined,1,x\n"
    )
    with pytest.raises(InputRefused, match="None of the items"):
        compare_scope(here.register, read_scope_file(file), today=TODAY)
