"""One item of a visit, read alone, is as it is among all of them."""

from datetime import timedelta

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.work_records import NotInspectedBecause
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.open_bench import VisitItem, item_of_visit, items_for_visit
from appreg.tasks.inspecting.record_not_inspected import record_not_inspected
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def read_alone(here: WorkedSite, visit: Uid, items: list[VisitItem]) -> list[VisitItem]:
    """Each of the items, read by itself."""
    number = 1 + max((each.saved for each in items), default=-1)
    alone = (item_of_visit(here.register, visit, each, next_saved=number) for each in items)
    return [each for each in alone if each is not None]


def assert_alike(here: WorkedSite, visit: Uid, before: list[VisitItem]) -> list[VisitItem]:
    """What is read one by one is what is read at once, but for how many were saved between."""
    alone, whole = read_alone(here, visit, before), items_for_visit(here.register, visit)
    assert [replace(each, saved=0) for each in alone] == [replace(each, saved=0) for each in whole]
    assert [each.saved >= 0 for each in alone] == [each.saved >= 0 for each in whole]
    return whole


def test_after_whatever_happened_on_the_visit(here: WorkedSite) -> None:
    kettles, visit = [here.kettle() for _ in range(4)], here.visit()
    other = here.visit(TODAY - timedelta(days=400))
    items = items_for_visit(here.register, visit.uid)
    here.record(kettles[3], combined(), other)
    items = assert_alike(here, visit.uid, items)
    failed = here.record(kettles[0], combined(earth="2.0"), visit)
    items = assert_alike(here, visit.uid, items)
    here.record(kettles[0], combined(), visit, supersedes=failed.inspection.uid, reason="misread")
    record_not_inspected(
        here.register, WHO, appliance=kettles[1].uid, visit=visit.uid, because=NotInspectedBecause.REFUSED
    )
    items = assert_alike(here, visit.uid, items)
    kept = here.record(kettles[1], combined(), visit)
    items = assert_alike(here, visit.uid, items)
    take_back_inspection(here.register, WHO, kept.inspection.uid)
    with here.register.change(WHO) as change:
        change.put(replace(here.again(kettles[2]), state=ServiceState.DISPOSED))
    assert len(assert_alike(here, visit.uid, items)) == 3


def test_an_item_that_has_gone_missing_is_none_of_them(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    (item,) = items_for_visit(here.register, visit.uid)
    with here.register.change(WHO) as change:
        change.put(replace(here.again(kettle), state=ServiceState.MISSING))
    assert item_of_visit(here.register, visit.uid, item, next_saved=1) is None
