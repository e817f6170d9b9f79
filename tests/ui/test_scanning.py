"""A reader of codes leads to the item from any screen, and typing never turns into a scan."""

from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from appreg.core.records.kept_records import Client, Location
from appreg.core.values.label_codes import code_text
from appreg.core.values.uids import uid_from
from appreg.register.opening.register_file import Register
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_entries import LineId
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.caution.caution_screen import CautionScreen
from appreg.ui.screens.find.find_screen import FindScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.item.item_screen import ItemScreen
from appreg.ui.screens.sites import sites_screen
from appreg.ui.screens.sites.sites_screen import SitesScreen
from appreg.ui.screens.walk_round.walk_round_screen import WalkRoundScreen
from tests.old_labels import old_code
from tests.ui.bench_register import KETTLE, LAMP, BenchTable, bench_of, lay_table
from tests.ui.conftest import PATIENCE
from tests.ui.list_register import TODAY, WHO, clock_with_gap, tagged

pytestmark = pytest.mark.usefixtures("patient_scans")

NAMED = {
    "[": "left_square_bracket",
    "]": "right_square_bracket",
    "=": "equals_sign",
    "+": "plus",
    ":": "colon",
    "-": "minus",
    ".": "full_stop",
    ">": "greater_than_sign",
    "*": "asterisk",
    " ": "space",
}
UNKNOWN = old_code(uid_from(1_600_000_000_000, 99))


def app_with(register: Register, gap: int = 5) -> AppregApp:
    return AppregApp(register, today=TODAY, who=WHO, clock=clock_with_gap(gap))


def keys_of(text: str) -> list[str]:
    return [NAMED.get(character, character) for character in text]


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


@pytest.mark.parametrize("key", ["f2", "f3", "f4", "f5", "f8", "f9"])
async def test_a_scan_opens_the_item_from_every_standing_screen(built_register: Register, key: str) -> None:
    app = app_with(built_register)
    item = tagged(built_register, "KL-002")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, key)
        await press(pilot, *keys_of(old_code(item.uid)), "enter")
        assert isinstance(app.screen, ItemScreen)
        assert "KL-002" in screen_text(app)


async def test_a_label_that_tells_its_tag_opens_its_item_from_a_field_too(built_register: Register) -> None:
    app = app_with(built_register)
    item = tagged(built_register, "KL-002")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8", "slash", *keys_of(code_text(item.tag, item.uid)), "enter")
        assert isinstance(app.screen, ItemScreen)
        assert "KL-002" in screen_text(app)
        await press(pilot, "escape")
        assert app.screen.query_one(Input).value == ""


async def test_a_reader_that_sends_no_enter_is_understood_after_a_pause(built_register: Register) -> None:
    app = app_with(built_register)
    item = tagged(built_register, "HR-003")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *keys_of(old_code(item.uid)))
        await pilot.pause(PATIENCE / 1000 + 0.3)
        assert isinstance(app.screen, ItemScreen)
        assert "HR-003" in screen_text(app)


async def test_a_code_that_is_pasted_opens_the_item(built_register: Register) -> None:
    app = app_with(built_register)
    item = tagged(built_register, "HR-003")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.post_message(events.Paste(old_code(item.uid) + "\n"))
        await press(pilot)
        assert isinstance(app.screen, ItemScreen)


async def test_an_unknown_code_is_put_into_the_scan_box_with_a_sentence(built_register: Register) -> None:
    app = app_with(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *keys_of(UNKNOWN), "enter")
        assert isinstance(app.screen, FindScreen)
        assert "was printed from another register" in " ".join(screen_text(app).split())
        assert app.screen.query_one(Input).value == UNKNOWN
        await press(pilot, "ctrl+u", *keys_of("kl-001"), "enter")
        assert isinstance(app.screen, ItemScreen)


async def test_letters_typed_by_fingers_act_as_keys_in_their_order(built_register: Register) -> None:
    app = app_with(built_register, gap=300)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8", "slash")
        await press(pilot, *keys_of("APPREG:0"))
        assert app.screen.query_one(Input).value == "APPREG:0"
        await press(pilot, "escape", "f2", "A", "n")
        assert isinstance(app.screen, FormScreen)


async def test_a_key_held_back_for_a_moment_acts_once_it_is_no_scan(
    built_register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = app_with(built_register)
    pressed: list[str] = []
    monkeypatch.setattr(SitesScreen, "on_key", lambda _, event: pressed.append(event.key), raising=False)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "A", "z")
        assert pressed == ["A", "z"]
        await press(pilot, "A")
        await pilot.pause(PATIENCE / 1000 + 0.3)
        assert pressed == ["A", "z", "A"]


async def test_a_code_scanned_into_a_field_of_a_form_leads_to_its_item_and_leaves_the_form_as_it_was(
    built_register: Register,
) -> None:
    app = app_with(built_register)
    item = tagged(built_register, "KL-002")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "n", *keys_of("quay"))
        form = app.screen
        assert isinstance(form, FormScreen)
        field = next(iter(form.query(Input)))
        await press(pilot, *keys_of(old_code(item.uid)), "enter")
        assert isinstance(app.screen, ItemScreen)
        await press(pilot, "escape")
        assert app.screen_stack[-1] is form
        assert field.value == "quay"


@pytest.mark.parametrize(("code", "tag"), [("APPREG:OLD-9", "OLD-9"), ("", "KL-002")])
async def test_a_code_scanned_where_a_tag_is_asked_for_is_put_there_as_the_tag(
    built_register: Register, code: str, tag: str
) -> None:
    app = app_with(built_register)
    code = code or old_code(tagged(built_register, "KL-002").uid)
    async with app.run_test(size=(80, 40)) as pilot:
        await press(pilot, "enter", "n")
        form = app.screen
        assert isinstance(form, FormScreen)
        field = form.query_one("#tag", Input)
        field.focus()
        await press(pilot, *keys_of("X"), *keys_of(code), "enter")
        assert app.screen_stack[-1] is form
        assert field.value == tag


async def test_a_code_scanned_into_a_filter_or_a_picker_leads_to_its_item(built_register: Register) -> None:
    app = app_with(built_register)
    item = tagged(built_register, "HR-003")
    async with app.run_test(size=(80, 24)) as pilot:
        for way in (("f8", "slash", "k"), ("f8", "s", "k")):
            await press(pilot, *way)
            await press(pilot, *keys_of(old_code(item.uid)), "enter")
            assert isinstance(app.screen, ItemScreen)
            assert "HR-003" in screen_text(app)
            await press(pilot, "escape")
            assert app.screen.query_one(Input).value == "k"
            await press(pilot, "escape", "escape")


async def test_what_is_scanned_while_the_scan_box_is_open_is_what_was_looked_for(built_register: Register) -> None:
    app = app_with(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "ctrl+g", *keys_of("half a word"), *keys_of(UNKNOWN), "enter")
        assert isinstance(app.screen, FindScreen)
        assert app.screen.query_one(Input).value == UNKNOWN
        await press(pilot, *keys_of(old_code(tagged(built_register, "HR-003").uid)), "enter")
        assert isinstance(app.screen, ItemScreen)


@pytest.mark.usefixtures("cautions_unread")
async def test_no_scan_leads_past_the_cautions(built_register: Register, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sites_screen, "cautions_confirmed", lambda *_: False)
    app = app_with(built_register)
    item = tagged(built_register, "KL-002")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *keys_of(old_code(item.uid)), "enter")
        await press(pilot, "ctrl+g")
        assert isinstance(app.screen, CautionScreen)


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "bench.db", ("Desk lamp", LAMP), ("Kettle", KETTLE), ("Toaster", KETTLE))


def item_elsewhere(table: BenchTable) -> str:
    register, client = table.register, table.register.find(Client)[0]
    site = add_site(register, WHO, client=client.uid, name="Kiln Lane", prefix="KL", environment="low-risk")
    room = add_location(register, WHO, site=site.uid, name="Studio")
    return add_appliance(register, WHO, site=site.uid, location=room.uid, name="Wheel").tag


def half_filled(table: BenchTable) -> AppregApp:
    return AppregApp(table.register, today=TODAY, who=WHO, clock=clock_with_gap(5))


async def at_earth_of_kettle(pilot: Pilot[None], app: AppregApp, table: BenchTable) -> BenchScreen:
    app.open_bench(visit=table.visit.uid, appliance=table.uid(1))
    await press(pilot)
    await press(pilot, "space", *keys_of("0.0"))
    return bench_of(app)


@pytest.mark.parametrize("way", ["reader", "scan box"])
async def test_inside_a_visit_a_scan_opens_the_item_on_the_bench(table: BenchTable, way: str) -> None:
    app = half_filled(table)
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await at_earth_of_kettle(pilot, app, table)
        assert isinstance(app.focused, Input)
        start = ["ctrl+g"] if way == "scan box" else []
        await press(pilot, *start, *keys_of(old_code(table.uid(2))), "enter")
        assert app.screen is bench
        assert bench.state.item is not None
        assert bench.state.item.appliance.name == "Toaster"
        await press(pilot, *start, *keys_of(old_code(table.uid(1))), "enter")
        assert bench.state.item.appliance.name == "Kettle"
        assert bench.state.entries.typed[LineId("earth-continuity")] == "0.0"


async def test_an_item_of_another_site_opens_its_page_over_the_bench(table: BenchTable) -> None:
    elsewhere = item_elsewhere(table)
    app = half_filled(table)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        bench = await at_earth_of_kettle(pilot, app, table)
        await press(pilot, "ctrl+g", *keys_of(elsewhere), "enter")
        assert isinstance(app.screen, ItemScreen)
        assert "is not part of this visit" in screen_text(app)
        await press(pilot, "escape")
        assert bench_of(app) is bench
        assert bench.state.entries.typed[LineId("earth-continuity")] == "0.0"


async def test_on_a_walk_round_a_scan_opens_the_item_and_what_was_typed_stays(built_register: Register) -> None:
    app = app_with(built_register)
    item = tagged(built_register, "KL-002")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "a", *keys_of("desk"))
        walk = app.screen
        assert isinstance(walk, WalkRoundScreen)
        await press(pilot, *keys_of(old_code(item.uid)), "enter")
        assert isinstance(app.screen, ItemScreen)
        await press(pilot, "escape")
        back: object = app.screen
        assert back is walk
        assert walk.entry.name_typed == "desk"


async def test_a_paste_comes_behind_the_keys_that_might_have_been_a_scan(built_register: Register) -> None:
    app = app_with(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "a")
        assert isinstance(app.screen, WalkRoundScreen)
        app.post_message(events.Key("A", "A"))
        app.post_message(events.Paste("ttic lamp"))
        await press(pilot)
        assert app.screen.entry.name_typed == "Attic lamp"


async def test_on_a_walk_round_an_unknown_tag_is_that_of_a_new_item_once_it_is_said(built_register: Register) -> None:
    app = app_with(built_register)
    async with app.run_test(size=(100, 24)) as pilot:
        await press(pilot, "a", *keys_of("kettle"))
        walk = app.screen
        await press(pilot, *keys_of("APPREG:OLD-0041"), "enter")
        assert "No item has the tag “OLD-0041”" in screen_text(app)
        assert "a new item at Harbour Row 14 bears it" in screen_text(app)
        await press(pilot, "enter")
        back: object = app.screen
        assert back is walk
        assert isinstance(walk, WalkRoundScreen)
        assert (walk.entry.name_typed, walk.entry.tag_typed) == ("kettle", "OLD-0041")
        await press(pilot, *["enter"] * 3)
        await press(pilot, *keys_of("APPREG:OLD-0041"), "enter")
        assert isinstance(app.screen, ItemScreen)
    assert tagged(built_register, "OLD-0041").name == "Kettle"


@pytest.mark.parametrize(
    ("code", "tag"), [("[red]", "[RED]"), ("=1+1", "=1+1"), ("N\x11\x1b[A\x041", "N[A1"), ("\u202e7\tx", "7X")]
)
async def test_a_hostile_code_is_a_text_and_no_key_of_it_acts(built_register: Register, code: str, tag: str) -> None:
    app = app_with(built_register)
    async with app.run_test(size=(100, 24)) as pilot:
        await press(pilot, "a")
        for character in f"APPREG:{code}":
            app.post_message(events.Key(key_named(character), character))
        await press(pilot, "enter")
        assert f"No item has the tag “{tag}”" in screen_text(app)
        await press(pilot, "enter")
        assert isinstance(app.screen, WalkRoundScreen)
        assert app.screen.entry.tag_typed == tag
        await press(pilot, *keys_of("kettle"), *["enter"] * 3)
        assert tag in screen_text(app)
    assert tagged(built_register, tag).name == "Kettle"


def key_named(character: str) -> str:
    controls = {"\x11": "ctrl+q", "\x04": "ctrl+d", "\x1b": "escape", "\t": "tab"}
    return controls.get(character, NAMED.get(character, character))


@pytest.mark.parametrize("key", ["f8", "enter"])
async def test_from_a_list_of_items_an_unknown_tag_leads_to_the_walk_round_of_its_site(
    built_register: Register, key: str
) -> None:
    app = app_with(built_register)
    async with app.run_test(size=(100, 24)) as pilot:
        await press(pilot, key)
        await press(pilot, "ctrl+g", *keys_of("old-7"))
        assert "enter asks whether it is the tag of a new item" in screen_text(app)
        await press(pilot, "enter", "enter")
        if key == "f8":
            assert "At which site is “OLD-7”?" in screen_text(app)
            await press(pilot, "enter")
        assert isinstance(app.screen, WalkRoundScreen)
        assert "Walk-round · Harbour Row 14" in screen_text(app)
        await press(pilot, *keys_of("kettle"), *["enter"] * 3)
    assert tagged(built_register, "OLD-7").name == "Kettle"


async def test_on_the_bench_an_unknown_tag_becomes_an_item_of_the_visit(table: BenchTable) -> None:
    seed_categories(table.register, WHO)
    app = half_filled(table)
    async with app.run_test(size=(100, 24)) as pilot:
        bench = await at_earth_of_kettle(pilot, app, table)
        await press(pilot, *keys_of("APPREG:OLD-9"), "enter", "enter")
        assert isinstance(app.screen, WalkRoundScreen)
        await press(pilot, *keys_of("toaster"), "pagedown")
        assert bench_of(app) is bench
        assert bench.state.item is not None
        assert (bench.state.item.appliance.tag, bench.state.item.appliance.name) == ("OLD-9", "Toaster")
        await press(pilot, "ctrl+g", *keys_of("hr-002"), "enter")
        assert bench.state.entries.typed[LineId("earth-continuity")] == "0.0"


async def test_a_tag_that_is_looked_for_after_all_stands_in_the_scan_box(built_register: Register) -> None:
    app = app_with(built_register)
    async with app.run_test(size=(100, 24)) as pilot:
        await press(pilot, "a", *keys_of("APPREG:OLD-7"), "enter", "down", "enter")
        assert isinstance(app.screen, FindScreen)
        assert app.screen.query_one(Input).value == "OLD-7"
        await press(pilot, "escape")
        assert isinstance(app.screen, WalkRoundScreen)
        assert app.screen.entry.is_untouched


async def test_on_a_walk_round_a_tag_printed_beforehand_and_a_location_are_taken(built_register: Register) -> None:
    app = app_with(built_register)
    item = tagged(built_register, "KL-001")
    room = add_location(built_register, WHO, site=item.site, name="Attic")
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(WalkRoundScreen(site=item.site, location=item.location))
        await pilot.pause()
        walk = app.screen
        assert isinstance(walk, WalkRoundScreen)
        await press(pilot, *"kettle")
        await press(pilot, *keys_of(code_text(room.name, room.uid)), "enter")
        here: object = app.screen
        assert here is walk
        assert walk._location == room.uid
        await press(pilot, *keys_of(code_text("KL-901", item.site)), "enter")
        assert "No item has the tag “KL-901”" in screen_text(app)
        await press(pilot, "enter")
        assert (walk.entry.name_typed, walk.entry.tag_typed) == ("kettle", "KL-901")


async def test_the_label_of_a_location_shows_what_is_there_from_any_other_screen(built_register: Register) -> None:
    app = app_with(built_register)
    item = tagged(built_register, "KL-001")
    room = built_register.get(Location, item.location)
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "f8")
        await press(pilot, *keys_of(code_text(room.name, room.uid)), "enter")
        assert isinstance(app.screen, FindScreen)
        assert f"found at {room.name}" in screen_text(app)
        assert "KL-001" in screen_text(app)
