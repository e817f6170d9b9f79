"""Walk-round: a line an item, few keys, nothing typed is lost."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from msgspec.structs import replace
from textual.events import Paste
from textual.pilot import Pilot

import appreg
from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import Appliance, Category, InspectionKind, Location, Site, Visit
from appreg.core.records.work_records import NotInspected
from appreg.register.lists.due_lists import Counts, counts_by_site
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.documents.write_visit_report import visit_document
from appreg.tasks.inspecting.open_bench import items_for_visit
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.add_walked_items import add_walked_items
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.site_page.site_page_screen import SitePageScreen
from appreg.ui.screens.sites.sites_screen import SitesScreen
from appreg.ui.screens.walk_round.walk_round_screen import WalkRoundScreen
from appreg.ui.screens.walk_round.walked_list import WalkedList
from appreg.ui.widgets.plain_input import LONGEST_PASTE
from tests.postgres_server import place_for
from tests.ui.list_register import TODAY, app_on

_NAMED = {" ": "space", ".": "full_stop", "[": "left_square_bracket", "]": "right_square_bracket", "=": "equals_sign"}
BUDGET = 8
"""Keys beyond the typed name that an item of a known category may cost."""


@pytest.fixture
def register(tmp_path: Path) -> Register:
    register = open_register(place_for(tmp_path / "walk.appreg"))
    seed_categories(register, "test")
    client = add_client(register, "test", name="Quay Lets")
    add_site(register, "test", client=client.uid, name="Harbour Row 14", prefix="HR", environment="low-risk")
    return register


@pytest.fixture
def kitchen(register: Register) -> Register:
    add_location(register, "test", site=register.find(Site)[0].uid, name="kitchen")
    return register


def items(register: Register) -> list[Appliance]:
    return sorted(register.find(Appliance), key=lambda item: item.tag)


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*(_NAMED.get(key, key) for key in keys))
    for _ in range(3):
        await pilot.pause()


async def walking(pilot: Pilot[None]) -> WalkRoundScreen:
    await press(pilot, "a")
    screen = pilot.app.screen
    assert isinstance(screen, WalkRoundScreen)
    return screen


async def test_a_known_item_costs_its_name_and_enter(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        beyond = ["enter"]
        await press(pilot, *"kettle", *beyond)
        await press(pilot, *"toaster", *beyond)
    assert len(beyond) <= BUDGET
    kettle, toaster = items(kitchen)
    category = kitchen.get(Category, kettle.category or toaster.uid)
    assert (kettle.tag, kettle.name, toaster.tag) == ("HR-001", "Kettle", "HR-002")
    assert kettle.appliance_class is category.appliance_class
    assert kettle.cord_csa_mm2 == category.cord_csa_mm2
    assert kettle.heating


async def test_defaults_and_suggestions_stand_beside_what_is_typed(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"table")
        shown = screen_text(app)
    assert "HR-001" in shown
    assert "Table lamp" in shown
    assert "portable" in shown


async def test_rows_and_the_mark_on_the_last_come_in_one_frame(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await press(pilot, *"30 kettle", "enter")
        screen.entry.put_back("toaster", {})
        screen.action_add()
        walked = screen.query_one(WalkedList)  # nothing is drawn between the row and the mark
        assert walked.cursor == walked.row_count - 1 == 30
        assert walked.scroll_offset.y == 31 - (walked.scrollable_content_region.height - 1)


async def test_another_field_costs_no_more_than_the_budget(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        beyond = ["tab", "2", "tab", "h", "enter"]
        await press(pilot, *"kettle", *beyond)
    assert len(beyond) <= BUDGET
    (kettle,) = items(kitchen)
    assert kettle.appliance_class is ApplianceClass.CLASS_II
    assert kettle.equipment_type is EquipmentType.HAND_HELD


async def test_cord_fuse_and_power_are_typed_as_people_write_them(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        fields = ("tab", "tab", "tab", *"1.0 x 2", "tab", *"10 A", "tab", *"2.2 kW", "enter")
        await press(pilot, *"kettle", *fields)
    (kettle,) = items(kitchen)
    assert (kettle.cord_csa_mm2, kettle.cord_length_m) == (Decimal("1.0"), Decimal(2))
    assert (kettle.fuse_a, kettle.power_w) == (Decimal(10), 2200)


async def test_a_number_before_the_name_adds_that_many(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"4 desk lamp", "enter")
        assert "4 items so far" in screen_text(app)
    assert [item.tag for item in items(kitchen)] == ["HR-001", "HR-002", "HR-003", "HR-004"]
    assert {item.name for item in items(kitchen)} == {"Desk lamp"}


async def test_what_is_disposed_of_stands_neither_in_the_walk_round_nor_among_the_items_of_the_site(
    kitchen: Register,
) -> None:
    (site,), (room,) = kitchen.find(Site), kitchen.find(Location)
    gone = add_walked_items(kitchen, "test", location=room.uid, typed="4 kettle")[1]
    with kitchen.change("test") as change:
        change.put(replace(gone, state=ServiceState.DISPOSED))
    app = app_on(kitchen)
    async with app.run_test(size=(110, 30)) as pilot:
        await press(pilot, "enter")
        assert "3 items and 1 disposed of: " in screen_text(app)
        await press(pilot, "a")
        assert "3 items so far" in screen_text(app)
        assert "HR-001" in screen_text(app)
        assert gone.tag not in screen_text(app)
    assert counts_by_site(kitchen, today=TODAY, soon=TODAY)[site.uid] == Counts(
        items=3, in_service=3, never=3, disposed=1
    )


async def test_an_unknown_name_is_asked_for_class_and_type_within_the_budget(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"zither")
        beyond = ["enter", "1", "enter", "s", "enter"]
        await press(pilot, beyond[0])
        assert "No category answers to “zither”: what class?" in screen_text(app)
        await press(pilot, *beyond[1:])
        assert "zither" not in screen_text(app).splitlines()[-6]
    assert len(beyond) <= BUDGET
    (zither,) = items(kitchen)
    assert (zither.name, zither.category) == ("Zither", None)
    assert zither.appliance_class is ApplianceClass.CLASS_I
    assert zither.equipment_type is EquipmentType.STATIONARY


async def test_a_class_that_the_plate_does_not_say_stays_unknown(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"zither", "enter")
        await press(pilot, "enter")
        await press(pilot, "enter")
    (zither,) = items(kitchen)
    assert zither.appliance_class is ApplianceClass.UNKNOWN
    assert zither.appliance_class.judged_as is ApplianceClass.CLASS_I


async def test_the_first_location_is_asked_for_and_a_new_one_is_made_on_the_way(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        assert "Where are you?" in screen_text(app)
        await press(pilot, *"kitchen", "enter", *"kettle", "enter")
        await press(pilot, "pageup", *"study", "enter", *"desk lamp", "enter")
        await press(pilot, "pageup", *"kit", "enter", *"toaster", "enter")
    rooms = {room.uid: room.name for room in register.find(Location)}
    assert sorted(rooms.values()) == ["kitchen", "study"]
    assert [rooms[item.location] for item in items(register)] == ["kitchen", "study", "kitchen"]


async def test_one_key_adds_the_same_again(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"kettle", "tab", "2", "enter")
        await press(pilot, "shift+down")
        await press(pilot, "shift+down")
    assert [item.appliance_class for item in items(kitchen)] == [ApplianceClass.CLASS_II] * 3


async def test_what_cannot_be_accepted_is_said_and_stays_typed(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"kettle", "tab", "9", "enter")
        shown = screen_text(app)
        assert "! class: “9” is none" in shown
        assert "kettle" in shown
    assert items(kitchen) == []


async def test_a_line_added_by_mistake_is_taken_back_whole(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"kettle", "enter", *"4 desk lamp", "enter", "ctrl+z")
        assert [item.name for item in items(kitchen)] == ["Kettle"]
        await press(pilot, "ctrl+z")
        assert items(kitchen) == []


async def test_a_line_not_yet_added_is_not_left_by_accident(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"kettle", "escape")
        assert isinstance(app.screen, WalkRoundScreen)
        assert "not added yet" in screen_text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, SitesScreen)


async def test_a_tag_or_a_field_without_a_name_is_not_passed_over(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await press(pilot, *"kettle", "enter", "shift+up", *"T7")
        for key in ("ctrl+x", "pagedown"):
            await press(pilot, key)
            assert app.screen is screen
            assert "nothing is typed; type what the item is" in screen_text(app)
        await press(pilot, "ctrl+u", "tab", "tab", *"2", "escape")
        assert app.screen is screen
        assert "not added yet" in screen_text(app)
        assert screen.keep_typed() == "Walk-round: not added: “2”."
        await press(pilot, "ctrl+u", "shift+up", "tab", *"zither", "down")
        assert "What is “zither”?" in screen_text(app)
        await press(pilot, "escape")
        assert app.screen is screen
    assert len(items(kitchen)) == 1


async def test_done_leads_to_the_visit_and_nothing_added_leads_back(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "enter", "a", "escape")
        assert isinstance(app.screen, SitePageScreen)
        await press(pilot, "a", *"kettle", "enter", "escape")
        assert isinstance(app.screen, FormScreen)
        assert "New visit · Harbour Row 14" in screen_text(app)


async def test_a_category_is_made_of_a_name_that_none_answers_to(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"zither", "insert", "tab", *"ZIT", "ctrl+s")
        await press(pilot, "enter")
    (zither,) = items(kitchen)
    assert zither.category is not None
    assert kitchen.get(Category, zither.category).code == "ZIT"


@pytest.mark.parametrize("typed", ["[red]", "=1+1", "x [/] y", "[@click=app.quit]q[/]"])
async def test_markup_in_a_name_stands_as_it_is(kitchen: Register, typed: str) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await walking(pilot)
        screen.entry.put_back(typed, {})
        await press(pilot, "enter", "1", "enter", "p", "enter")
        assert typed[1:] in screen_text(app)
    assert [item.name for item in items(kitchen)] == [typed[0].upper() + typed[1:]]


async def test_a_name_that_only_resembles_a_category_is_asked_before_it_is_taken(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"camping cooker", "enter")
        assert items(kitchen) == []
        assert "Taken as Cooker? enter yes" in screen_text(app)
        await press(pilot, "up")
        assert "►none of these" in screen_text(app)
        await press(pilot, *["enter"] * 3)
        await press(pilot, *"blue kettle", "enter", "enter")
    cooker, kettle = items(kitchen)
    assert (cooker.category, cooker.appliance_class) == (None, ApplianceClass.UNKNOWN)
    assert (kettle.name, kitchen.get(Category, kettle.category or "").name) == ("Blue kettle", "Kettle")  # type: ignore[arg-type]


async def test_three_letters_and_enter_still_add_an_item(kitchen: Register) -> None:
    async with app_on(kitchen).run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"ket", "enter")
    assert [item.name for item in items(kitchen)] == ["Kettle"]


async def paste(pilot: Pilot[None], text: str) -> None:
    pilot.app.post_message(Paste(text))
    await press(pilot)


def names(register: Register) -> list[str]:
    return [item.name for item in items(register)]


@pytest.mark.parametrize("end", ["", "\n", "\r\n\n"])
async def test_each_pasted_line_becomes_an_item(kitchen: Register, end: str) -> None:
    async with app_on(kitchen).run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await paste(pilot, f"kettle\r\ntoaster\n3 desk lamp{end}")
        assert screen.entry.is_untouched
    assert names(kitchen) == ["Kettle", "Toaster", "Desk lamp", "Desk lamp", "Desk lamp"]


async def test_a_pasted_word_stands_in_the_line_as_if_typed(kitchen: Register) -> None:
    async with app_on(kitchen).run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await press(pilot, *"2 ")
        await paste(pilot, "kettle")
        assert screen.entry.name_typed == "2 kettle"
        await press(pilot, "enter")
    assert names(kitchen) == ["Kettle", "Kettle"]


async def test_a_pasted_line_that_must_be_answered_keeps_those_behind_it_waiting(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await paste(pilot, "kettle\nwibble\ntoaster\nlamp")
        assert names(kitchen) == ["Kettle"]
        assert "No category answers to “wibble”" in screen_text(app)
        assert screen.keep_typed() == "Walk-round: not added: “wibble”, “toaster”, “lamp”."
        await press(pilot, "escape")
        assert "2 pasted lines wait" in screen_text(app)
        await press(pilot, "enter", "enter")
        assert "Taken as" in screen_text(app)  # several lamps are known
        await press(pilot, "enter")
    assert names(kitchen)[:3] == ["Kettle", "Wibble", "Toaster"]
    assert len(items(kitchen)) == 4


@pytest.mark.parametrize(("key", "count"), [("enter", 21), ("escape", 0)])
async def test_many_pasted_lines_are_asked_about_first(kitchen: Register, key: str, count: int) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await paste(pilot, "kettle\n" * 21)
        assert items(kitchen) == []
        assert "21 lines were pasted" in screen_text(app)
        await press(pilot, key)
        assert isinstance(app.screen, WalkRoundScreen)
    assert len(items(kitchen)) == count


async def test_lines_pasted_into_another_field_stand_there_one_behind_the_other(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await press(pilot, "pageup")
        await paste(pilot, "first floor\n  plant room\n")
        assert any("2 lines were pasted" in note.message for note in app._notifications)
        await press(pilot, "enter")
        assert screen.entry.is_untouched
    assert "first floor plant room" in [room.name for room in kitchen.find(Location)]


async def test_a_paste_longer_than_anything_kept_is_cut_and_said(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await paste(pilot, "x" * 100_000)
        assert len(screen.entry.name_typed) == LONGEST_PASTE
        assert any("100000 characters were pasted" in note.message for note in app._notifications)
        await press(pilot, "ctrl+u")
        assert screen.entry.is_untouched


async def test_a_line_is_added_and_tested_at_once(kitchen: Register) -> None:
    app = app_on(kitchen)
    person = add_person(kitchen, "test", name="A. Bench", initials="AB")
    start_visit(kitchen, "test", site=kitchen.find(Site)[0].uid, on=app.today, person=person.uid)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"kettle", "enter", *"toaster", "pagedown")
        assert [item.name for item in items(kitchen)] == ["Kettle", "Toaster"]
        assert "Toaster" in screen_text(app)
        assert "item 2 of 2" in screen_text(app)


async def test_a_tag_that_is_there_already_is_typed_or_scanned_and_numbers_go_on(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await press(pilot, "shift+up", *"HR-120", "enter", *"ket", "enter")
        await press(pilot, *"ket")
        assert "HR-121" in screen_text(app)
        await press(pilot, "enter", "shift+up", *"old 7", "shift+down")
        await press(pilot, *"ket", "shift+up", *"OLD 7", "enter")
        assert "! appliance tag: OLD 7 is on another item (Kettle)" in screen_text(app)
        assert (screen.entry.name_typed, screen.entry.tag_typed) == ("ket", "OLD 7")
        await press(pilot, "ctrl+u", *"old 8", "enter")
        assert screen.entry.is_untouched
    assert [item.tag for item in items(kitchen)] == ["HR-120", "HR-121", "OLD 7", "OLD 8"]
    assert {item.name for item in items(kitchen)} == {"Kettle"}


async def test_one_tag_for_several_items_is_refused_and_stays_typed(kitchen: Register) -> None:
    app = app_on(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await press(pilot, "shift+up", *"A1", "enter", *"4 desk lamp", "enter")
        assert "one tag cannot stand on 4 items" in screen_text(app)
        await press(pilot, "escape")
        assert "not added yet" in screen_text(app)
        assert (screen.entry.name_typed, screen.entry.tag_typed) == ("4 desk lamp", "A1")


def under_way(register: Register) -> Visit:
    """A visit of today, so that nothing is asked about it."""
    person = add_person(register, "test", name="A. Bench", initials="AB")
    return start_visit(register, "test", site=register.find(Site)[0].uid, on=TODAY, person=person.uid)


def left_out(register: Register) -> dict[str, str]:
    """Why each item is not inspected, by tag."""
    records = register.find(NotInspected)
    return {register.get(Appliance, each.appliance).tag: each.because.value for each in records}


async def test_what_cannot_be_got_at_is_added_with_the_reason_and_stays_due(kitchen: Register) -> None:
    app = app_on(kitchen)
    visit = under_way(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, *"ket", "enter", *"2 toaster", "ctrl+x")
        assert "HR-002 to HR-003 are not inspected" in screen_text(app)
        await press(pilot, "down", "ctrl+s")
        assert isinstance(app.screen, WalkRoundScreen)
        assert "Toaster · refused" in screen_text(app)
        await press(pilot, "up", "up", "ctrl+x", *["down"] * 4, "enter", *"behind the wall", "enter")
        assert isinstance(app.screen, WalkRoundScreen)
    assert left_out(kitchen) == {"HR-002": "refused", "HR-003": "refused", "HR-001": "not found"}
    assert {(each.date, each.person) for each in kitchen.find(NotInspected)} == {(TODAY, visit.person)}
    assert {each.note for each in kitchen.find(NotInspected)} == {"", "behind the wall"}
    assert [each.not_inspected for each in items_for_visit(kitchen, visit.uid)] == ["not found", "refused", "refused"]
    report = visit_document(kitchen, visit=visit.uid, today=TODAY)
    because = ["not found, behind the wall", "refused", "refused"]
    assert [(each.tag, each.because) for each in report.not_inspected] == [
        *zip(("HR-001", "HR-002", "HR-003"), because, strict=True)
    ]
    following = start_visit(kitchen, "test", site=visit.site, on=TODAY, person=visit.person)
    assert [(each.appliance.tag, each.not_inspected) for each in items_for_visit(kitchen, following.uid)] == [
        ("HR-001", ""),
        ("HR-002", ""),
        ("HR-003", ""),
    ]
    due = list_due(kitchen, today=TODAY, within_days=0).lines
    assert {line.appliance.tag for line in due} == {"HR-001", "HR-002", "HR-003"}


async def test_a_reason_asks_first_for_the_visit_and_left_leaves_the_item_to_be_inspected(kitchen: Register) -> None:
    app = app_on(kitchen)
    add_person(kitchen, "test", name="A. Bench", initials="AB")
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await walking(pilot)
        await press(pilot, "ctrl+x")
        assert "Nothing is on the list yet" in screen_text(app)
        await press(pilot, *"zither", "ctrl+x")
        assert "what class?" in screen_text(app)
        await press(pilot, "ctrl+x", "ctrl+x")
        assert "New visit" in screen_text(app)
        await press(pilot, "ctrl+s")
        assert "HR-001 is not inspected" in screen_text(app)
        await press(pilot, "escape")
        assert "no reason against it is kept" in screen_text(app)
        assert isinstance(app.screen, WalkRoundScreen)
    assert [item.tag for item in items(kitchen)] == ["HR-001"]
    assert left_out(kitchen) == {}


async def test_an_item_inspected_today_cannot_be_called_not_inspected(kitchen: Register) -> None:
    app = app_on(kitchen)
    visit = under_way(kitchen)
    (kettle,) = add_walked_items(kitchen, "test", location=kitchen.find(Location)[0].uid, typed="kettle")
    looked = Entries(visual=True)
    record_inspection(
        kitchen, "test", appliance=kettle.uid, visit=visit.uid, kind=InspectionKind.VISUAL, entries=looked
    )
    async with app.run_test(size=(80, 24)) as pilot:
        await walking(pilot)
        await press(pilot, "ctrl+x", "ctrl+s")
        assert "HR-001 was inspected on this visit" in screen_text(app)
    assert left_out(kitchen) == {}


async def test_a_line_pasted_behind_the_one_to_be_tested_waits_in_the_line(kitchen: Register) -> None:
    app = app_on(kitchen)
    under_way(kitchen)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await walking(pilot)
        await paste(pilot, "wibble\ntoaster\n")
        await press(pilot, "enter", "pagedown")
        assert app.screen is screen
        assert screen.entry.name_typed == "toaster"
        assert "waits on the list: add or clear this line first" in screen_text(app)
    assert names(kitchen) == ["Wibble"]


FEW, MANY = 60, 460
OWN = str(Path(appreg.__file__).parent)


@contextmanager
def counted_steps() -> Iterator[list[int]]:
    """Count the steps of the interpreter within the program's own functions."""
    steps, before = [0], sys.gettrace()

    def trace(frame: FrameType, event: str, _: object) -> Any:
        if event == "call":
            frame.f_trace_opcodes = frame.f_code.co_filename.startswith(OWN)
            frame.f_trace_lines = False
            return trace if frame.f_trace_opcodes else None
        steps[0] += event == "opcode"
        return trace

    sys.settrace(trace)
    try:
        yield steps
    finally:
        sys.settrace(before)


async def steps_of_an_enter(register: Register, items: int) -> int:
    """Steps of an Enter that adds an item where so many stand, the fewer of two."""
    room = register.find(Location)[0].uid
    while (left := items - len(register.find(Appliance))) > 0:
        add_walked_items(register, "test", location=room, typed=f"{min(50, left)} desk lamp")
    app, counts = app_on(register), []
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await walking(pilot)
        for number in range(3):
            screen.entry.put_back("desk lamp", {})
            await pilot.pause()
            with counted_steps() as steps:
                await press(pilot, "enter")
            assert screen.query_one(WalkedList).item_count == items + number + 1
            counts.append(steps[0])
    return min(counts[1:])


async def test_an_enter_takes_as_many_steps_where_a_school_was_walked_round_as_at_its_door(kitchen: Register) -> None:
    few = await steps_of_an_enter(kitchen, FEW)
    many = await steps_of_an_enter(kitchen, MANY)
    assert many < few * 1.02
