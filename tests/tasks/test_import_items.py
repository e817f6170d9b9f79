from pathlib import Path

from appreg.core.records.kept_records import Appliance, Location
from appreg.register.checking.checking import problems
from appreg.tasks.importing.row_plans import ImportPlan, RowState
from appreg.tasks.records.undo_step import undo_step
from tests.tasks.import_lists import planned, taken
from tests.tasks.worked_site import WHO, WorkedSite

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
