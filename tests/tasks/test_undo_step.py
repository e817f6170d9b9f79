"""What was done to many items goes back as one step, or not at all."""

from datetime import date

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.items.note_fault import note_fault
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.change_record import change_record, move_items
from appreg.tasks.records.set_service_state import set_many_states
from appreg.tasks.records.undo_step import DoneStep, undo_step
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def step(here: WorkedSite, items: list[Appliance]) -> DoneStep:
    """The step that the last change was."""
    change = here.register.last_change
    assert change is not None
    return DoneStep(change=change, words="done", items=tuple(item.uid for item in items))


def kettles(here: WorkedSite) -> list[Appliance]:
    items = [here.kettle() for _ in range(3)]
    for item in items:
        here.record(item, combined(), here.visit(date(2026, 3, 2)))
    return [here.again(item) for item in items]


def withdrawn(here: WorkedSite, items: list[Appliance]) -> DoneStep:
    uids = [item.uid for item in items]
    set_many_states(here.register, WHO, appliances=uids, state=ServiceState.WITHDRAWN, reason="unsafe")
    return step(here, items)


def test_all_items_are_as_they_were_and_the_journal_bears_it_out(here: WorkedSite) -> None:
    items = kettles(here)
    assert undo_step(here.register, WHO, withdrawn(here, items)) == 3
    assert [here.again(item) for item in items] == items
    assert verify_register(here.register) == ()


def test_where_one_was_changed_since_none_goes_back(here: WorkedSite) -> None:
    items = kettles(here)
    done = withdrawn(here, items)
    change_record(here.register, WHO, replace(here.again(items[1]), notes="seen again"))
    with pytest.raises(InputRefused, match="HR-002 has been changed since"):
        undo_step(here.register, WHO, done)
    assert {here.again(item).state for item in items} == {ServiceState.WITHDRAWN}


def test_an_item_that_failed_since_stays_withdrawn(here: WorkedSite) -> None:
    items = kettles(here)
    done = withdrawn(here, items)
    here.record(items[0], combined(earth="0.9"))
    undo_step(here.register, WHO, done)
    assert [here.again(item).state for item in items] == [
        ServiceState.WITHDRAWN, ServiceState.IN_SERVICE, ServiceState.IN_SERVICE,
    ]  # fmt: skip
    assert verify_register(here.register) == ()


def test_a_fault_noted_since_keeps_what_was_taken_out_of_service_out_of_it(here: WorkedSite) -> None:
    items = kettles(here)
    set_many_states(here.register, WHO, appliances=[item.uid for item in items], state=ServiceState.WITHDRAWN)
    done = step(here, items)
    note_fault(here.register, WHO, appliance=items[1].uid, what="it smells burnt", on=TODAY)
    with pytest.raises(InputRefused, match="HR-002 something was noted since it was taken out of service"):
        undo_step(here.register, WHO, done)
    assert {here.again(item).state for item in items} == {ServiceState.WITHDRAWN}


def test_a_failure_taken_back_leaves_an_item_withdrawn_of_which_a_fault_was_noted_since(here: WorkedSite) -> None:
    item = kettles(here)[0]
    failed = here.record(item, combined(earth="0.9")).inspection.uid
    note_fault(here.register, WHO, appliance=item.uid, what="it smells burnt", on=TODAY)
    with pytest.raises(InputRefused, match="noted since it was taken out of service"):
        take_back_inspection(here.register, WHO, failed)
    assert here.again(item).state is ServiceState.WITHDRAWN


def test_next_dates_follow_the_rules_that_hold_when_it_is_undone(here: WorkedSite) -> None:
    items = kettles(here)
    shop = add_location(here.register, WHO, site=here.site.uid, name="Shop", environment="public")
    move_items(here.register, WHO, appliances=[item.uid for item in items], location=Uid(shop.uid))
    done = step(here, items)
    change_record(here.register, WHO, replace(here.site, environment="public"))
    undo_step(here.register, WHO, done)
    # HSG107 leaflet, used by the public, Class I: visual 3 months (published).
    assert {here.again(item).next_visual for item in items} == {date(2026, 6, 2)}
