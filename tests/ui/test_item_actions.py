from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.kept_records import Category
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import Register
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.add_location import add_location
from appreg.ui.screens.items.items_screen import ItemsScreen
from tests.ui.list_register import app_on, build_register, tagged


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return build_register(tmp_path / "acts.appreg")


async def settled(pilot: Pilot[None]) -> None:
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def test_chosen_items_move_together_and_keep_their_history(register: Register) -> None:
    site = tagged(register, "HR-001").site
    attic = add_location(register, "test", site=site, name="Attic")
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        await pilot.press("f8")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ItemsScreen)
        await pilot.press("end", "space", "home", "space", "g")
        await pilot.pause()
        await pilot.press(*"attic", "enter")
        await settled(pilot)
        await settled(pilot)
        assert isinstance(pilot.app.screen, ItemsScreen)
    for tag in ("HR-001", "KL-006"):
        item = tagged(register, tag)
        assert (item.site, item.location) == (site, attic.uid)
    assert tagged(register, "HR-001").last_date is not None


async def test_a_category_is_set_for_all_chosen_items(register: Register) -> None:
    wanted = add_category(
        register,
        "test",
        code="LMP",
        name="Lamp of any kind",
        appliance_class=ApplianceClass.CLASS_II,
        equipment_type=EquipmentType.PORTABLE,
    )
    assert isinstance(wanted, Category)
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        await pilot.press("f3")
        await settled(pilot)
        await pilot.press("slash", *"desk", "enter", "ctrl+a", "k")
        await pilot.pause()
        await pilot.press(*"any kind", "enter")
        await settled(pilot)
        await settled(pilot)
    lamp = tagged(register, "HR-001")
    assert lamp.category == wanted.uid
    assert lamp.appliance_class is ApplianceClass.CLASS_I
    assert tagged(register, "HR-002").category is None


async def test_leaving_the_question_changes_nothing(register: Register) -> None:
    before = tagged(register, "HR-001")
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        await pilot.press("f8")
        await settled(pilot)
        await pilot.press("g")
        await pilot.pause()
        await pilot.press("escape")
        await settled(pilot)
    assert tagged(register, "HR-001") == before


async def test_what_was_done_to_many_items_is_undone_as_one_step_and_again_as_the_one_before(
    register: Register,
) -> None:
    attic = add_location(register, "test", site=tagged(register, "HR-001").site, name="Attic")
    chosen = ("HR-001", "HR-002", "HR-003")
    before = [tagged(register, tag) for tag in chosen]
    app = app_on(register)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f8")
        await settled(pilot)
        await pilot.press("space", "space", "space", "g")
        await pilot.pause()
        await pilot.press(*"attic", "enter")
        await settled(pilot)
        await settled(pilot)
        assert {tagged(register, tag).location for tag in chosen} == {attic.uid}
        await pilot.press("home", "space", "space", "space", "w", *"unsafe", "ctrl+s")
        await settled(pilot)
        assert {tagged(register, tag).state for tag in chosen} == {ServiceState.WITHDRAWN}
        assert [step.words for step in app.done_steps] == ["3 items moved", "3 items withdrawn"]
        await pilot.press("ctrl+z")
        await settled(pilot)
        await settled(pilot)
        assert {(tagged(register, tag).state, tagged(register, tag).location) for tag in chosen} == {
            (ServiceState.IN_SERVICE, attic.uid)
        }
        await pilot.press("ctrl+z")
        await settled(pilot)
        await settled(pilot)
        assert [tagged(register, tag) for tag in chosen] == before
        await pilot.press("ctrl+z")
        await settled(pilot)
    assert [tagged(register, tag) for tag in chosen] == before
    assert list(problems(register)) == []


async def test_undo_takes_back_a_fault_that_was_noted_and_a_change_by_the_form_not_what_was_done_before(
    register: Register,
) -> None:
    app = app_on(register)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f8")
        await settled(pilot)
        first = tagged(register, "HR-001")
        await pilot.press("m", "ctrl+s")
        await settled(pilot)
        missing = tagged(register, "HR-001")
        assert missing.state is ServiceState.MISSING
        await pilot.press("home", "e")
        await settled(pilot)
        await pilot.press("ctrl+u", *"Lamp", "ctrl+s")
        await settled(pilot)
        changed = tagged(register, "HR-001")
        assert changed != missing
        await pilot.press("home", "x", *"cord cut", "ctrl+s")
        await settled(pilot)
        assert "cord cut" in tagged(register, "HR-001").notes
        assert [step.words for step in app.done_steps] == ["1 item missing", "1 item changed", "1 item found faulty"]
        for before in (changed, missing, first):
            await pilot.press("ctrl+z")
            await settled(pilot)
            await settled(pilot)
            assert tagged(register, "HR-001") == before
    assert list(problems(register)) == []
