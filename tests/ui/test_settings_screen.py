"""The settings by keys alone: what is changed holds at once, is kept, and holds at the next start."""

from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import fields
from textual.pilot import Pilot
from textual.widgets import Input

from appreg.core.records.kept_records import Appliance
from appreg.errors import InputRefused
from appreg.register.history.journal import history_of
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.confirm_cautions import NOT_KEPT, cautions_file, confirm_cautions
from appreg.tasks.desk.keep_settings import Settings, load_settings
from appreg.ui.app import AppregApp
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.caution.caution_screen import CautionScreen
from appreg.ui.screens.due.due_screen import DueScreen
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import TypedForm
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.help.help_screen import HelpScreen
from appreg.ui.screens.label_tray.label_tray_screen import LabelTrayScreen
from appreg.ui.screens.settings.keys_screen import KeyScreen, KeysScreen
from appreg.ui.screens.settings.settings_screen import SettingsScreen
from appreg.ui.screens.settings.typed_forms import PLACES, PlaceForm
from appreg.ui.screens.sites.sites_screen import SitesScreen
from appreg.ui.shell.themes import DARK, LIGHT, PLAIN_DARK, PLAIN_LIGHT, THEMES
from tests.ui.list_register import TODAY, WHO, tagged


@pytest.fixture(name="file")
def _file(tmp_path: Path) -> Path:
    return tmp_path / "settings" / "settings.toml"


def app_on(register: Register, file: Path | None = None) -> AppregApp:
    settings = load_settings(file) if file else Settings()
    return AppregApp(register, today=TODAY, who=settings.who or WHO, settings=settings, settings_file=file)


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


async def at_line(pilot: Pilot[None], words: str) -> None:
    """Open the settings and put the cursor on the first line that holds the words."""
    await press(pilot, "f9", "slash", *("space" if letter == " " else letter for letter in words), "enter")


async def at_key(pilot: Pilot[None], words: str) -> None:
    """Open the list of keys and put the cursor on the first command that holds the words."""
    await press(pilot, "f9", "end", "enter", "slash", *("space" if each == " " else each for each in words), "enter")


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def test_light_and_plain_hold_at_once_and_at_the_next_start(built_register: Register, file: Path) -> None:
    app = app_on(built_register, file)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f9")
        assert isinstance(app.screen, SettingsScreen)
        assert app.theme == DARK
        await press(pilot, "enter")
        assert app.theme == LIGHT
        await press(pilot, "down", "enter")
        assert app.theme == PLAIN_LIGHT
    assert app_on(built_register, file).theme == PLAIN_LIGHT
    again = app_on(built_register, file)
    async with again.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f9", "delete", "down", "delete")
        assert again.theme == DARK
    assert load_settings(file) == Settings()


def test_a_terminal_of_sixteen_colours_gets_the_plain_theme_by_itself(built_register: Register) -> None:
    settings = Settings(theme="light")
    app = AppregApp(built_register, today=TODAY, who=WHO, settings=settings, sixteen_only=True)
    assert app.theme == PLAIN_LIGHT
    assert AppregApp(built_register, today=TODAY, who=WHO, sixteen_only=True).theme == PLAIN_DARK


async def test_days_are_typed_refused_in_a_sentence_and_used_by_due(built_register: Register, file: Path) -> None:
    app = app_on(built_register, file)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3")
        assert "within 30 days" in screen_text(app)
        await at_line(pilot, "due within")
        await press(pilot, "enter")
        assert isinstance(app.screen, FormScreen)
        await press(pilot, "ctrl+u", *"366", "enter")
        assert "366 cannot be used" in screen_text(app)
        await press(pilot, "ctrl+u", *"45", "enter", "f3")
        assert isinstance(app.screen, DueScreen)
        assert "within 45 days" in screen_text(app)
        await press(pilot, "plus")
        assert "within 60 days" in screen_text(app)
        await press(pilot, "minus", "minus")
        assert "within 14 days" in screen_text(app)
    assert load_settings(file).due_within_days == 45


async def test_the_label_tray_starts_as_set(built_register: Register) -> None:
    app = app_on(built_register)
    async with app.run_test(size=(120, 40)) as pilot:
        await at_line(pilot, "label stock")
        await press(pilot, "enter", "enter")
        await at_line(pilot, "next date on")  # the words of the first filter give way
        await press(pilot, "enter", "f4")
        tray = app.screen
        assert isinstance(tray, LabelTrayScreen)
        assert tray._stock.id == "a4-65"
        assert tray._with_next_date


async def test_who_is_working_is_journalled_with_the_next_change(built_register: Register, file: Path) -> None:
    app = app_on(built_register, file)
    confirm_cautions(built_register.path, "Cy Dale", TODAY)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_line(pilot, "who is")
        await press(pilot, "enter", *"Cy", "space", *"Dale", "enter")
        assert isinstance(app.screen, SettingsScreen)
        assert app.who == "Cy Dale"
        await app.open_screen("item", appliance=tagged(built_register, "HR-001").uid)
        await press(pilot, "m", *"gone", "ctrl+s")
    item = tagged(built_register, "HR-001")
    assert history_of(built_register, item.uid)[-1].who == "Cy Dale"
    assert built_register.get(Appliance, item.uid).state.value == "missing"
    assert load_settings(file).who == "Cy Dale"


async def test_somebody_new_reads_the_cautions_first(built_register: Register, file: Path) -> None:
    app = app_on(built_register, file)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_line(pilot, "who is")
        await press(pilot, "enter", *"Eve", "enter")
        assert isinstance(app.screen, CautionScreen)
        await press(pilot, "escape")
        assert app.who == WHO
        await press(pilot, "enter", *"Eve", "enter", "y")
        assert app.who == "Eve"


async def test_cautions_read_in_the_settings_are_said_to_be_asked_again_where_that_cannot_be_kept(
    built_register: Register, file: Path
) -> None:
    app = app_on(built_register, file)
    cautions_file().mkdir(parents=True)  # in the way
    async with app.run_test(size=(120, 40)) as pilot:
        await at_line(pilot, "who is")
        await press(pilot, "enter", *"Eve", "enter", "y")
        assert app.who == "Eve"
        assert NOT_KEPT in [note.message for note in app._notifications]


async def test_a_new_key_works_at_once_in_key_line_help_and_list_of_commands(
    built_register: Register, file: Path
) -> None:
    app = app_on(built_register, file)
    async with app.run_test(size=(120, 40)) as pilot:
        await at_key(pilot, "client can add")
        await press(pilot, "enter")
        assert isinstance(app.screen, KeyScreen)
        await press(pilot, "c")
        assert app.settings.keys == {"sites.new_site": "c"}
        await press(pilot, "f2")
        assert isinstance(app.screen, SitesScreen)
        assert "c new site" in screen_text(app).splitlines()[-1]
        await press(pilot, "n")
        assert isinstance(app.screen, SitesScreen)
        await press(pilot, "f1")
        assert isinstance(app.screen, HelpScreen)
        assert any(line.split()[:3] == ["c", "new", "site"] for line in screen_text(app).splitlines())
        await press(pilot, "escape", "ctrl+p", *"new", "space", *"site")
        assert any(line.split()[:3] == ["new", "site", "c"] for line in screen_text(app).splitlines())
        await press(pilot, "escape", "c")
        assert isinstance(app.screen, FormScreen)
    again = app_on(built_register, file)
    async with again.run_test(size=(80, 24)) as pilot:
        await press(pilot, "c")
        assert isinstance(again.screen, FormScreen)


async def test_a_key_that_is_taken_is_refused_and_the_asking_goes_on(built_register: Register) -> None:
    app = app_on(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_key(pilot, "client can add")
        for key, said in (
            ("v", "v is “visit, bench”"),
            ("f9", "F9 always means the settings"),
            ("ctrl+g", "^g is “find”"),
        ):
            await press(pilot, *([] if isinstance(app.screen, KeyScreen) else ["enter"]), key)
            assert isinstance(app.screen, KeyScreen)
            assert said in screen_text(app)
        assert app.settings.keys == {}
        await press(pilot, "escape")
        assert isinstance(app.screen, KeysScreen)
        assert app.settings.keys == {}


async def test_a_command_without_a_key_gets_one_and_keys_go_back_to_usual(built_register: Register) -> None:
    app = app_on(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_key(pilot, "change between light")
        await press(pilot, "enter", "f10", "f10")
        assert app.theme == LIGHT
        await press(pilot, "delete", "f10")
        assert app.settings.keys == {}
        assert app.theme == LIGHT


async def test_a_list_is_moved_through_by_the_letter_set_for_it_and_the_filter_still_takes_the_letter(
    built_register: Register,
) -> None:
    app = AppregApp(built_register, today=TODAY, who=WHO, settings=Settings(keys={"list.move(1)": "j"}))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        await app.workers.wait_for_complete()
        await press(pilot, "j", "j")
        assert app.screen.query_one(VirtualTable).cursor == 2
        await press(pilot, "slash", "j")
        assert app.screen.query_one(Input).value == "j"


async def test_commands_that_keep_their_key_say_so(built_register: Register) -> None:
    app = app_on(built_register)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await at_key(pilot, "close appreg.")
        await press(pilot, "enter")
        assert isinstance(app.screen, KeysScreen)
        assert "always keeps ^q" in screen_text(app)


async def test_unsound_keys_from_the_file_are_told_and_not_used(built_register: Register) -> None:
    app = AppregApp(built_register, today=TODAY, who=WHO, settings=Settings(keys={"screen.help": "f10"}))
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await press(pilot)
        assert "keeps its usual key" in screen_text(app)
        await press(pilot, "f1")
        assert isinstance(app.screen, HelpScreen)


async def test_where_settings_cannot_be_written_it_is_said_and_they_hold(
    built_register: Register, tmp_path: Path
) -> None:
    (tmp_path / "taken").write_text("")
    app = AppregApp(built_register, today=TODAY, who=WHO, settings_file=tmp_path / "taken" / "settings.toml")
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await press(pilot, "f9", "enter")
        assert "hold until you leave" in screen_text(app)
        assert app.theme == LIGHT


def test_the_themes_are_four() -> None:
    assert [theme.name for theme in THEMES] == [DARK, LIGHT, PLAIN_DARK, PLAIN_LIGHT]


async def test_copies_are_set_by_number_and_by_a_folder_in_full(
    built_register: Register, file: Path, tmp_path: Path
) -> None:
    app = app_on(built_register, file)
    async with app.run_test(size=(120, 40)) as pilot:
        await at_line(pilot, "kept copies")
        await press(pilot, "enter", "backspace", "backspace", "0", "ctrl+s")
        assert "give 1 to 1000" in screen_text(app)
        await press(pilot, "backspace", "3", "ctrl+s")
        await at_line(pilot, "second folder")
        await press(pilot, "enter", *"stick", "ctrl+s")
        assert "is not written in full" in screen_text(app)
        app.screen.query_one("#folder", Input).value = str(tmp_path / "stick")
        await press(pilot, "end")
        assert "no such folder just now" in screen_text(app)
        await press(pilot, "ctrl+s")
    assert load_settings(file).copies_kept == 3
    assert load_settings(file).second_folder == str(tmp_path / "stick")


async def test_settings_show_what_is_set_and_all_keys_behind_one_line(built_register: Register) -> None:
    app = AppregApp(built_register, today=TODAY, who=WHO, settings=Settings(keys={"app.turn_theme": "f10"}))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f9")
        assert app.screen.query_one(VirtualTable).row_count == len(fields(Settings))
        await press(pilot, "end")
        assert "keys" in screen_text(app)
        assert "1 changed" in screen_text(app)
        await press(pilot, "enter")
        assert isinstance(app.screen, KeysScreen)
        assert app.screen.query_one(VirtualTable).row_count > 100
        await press(pilot, "escape", "delete")
        assert app.settings.keys == {}
        assert "1 changed" not in screen_text(app)


async def test_what_is_typed_after_the_slash_takes_the_place_of_the_old_filter(
    app_factory: Callable[[], AppregApp],
) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8", "slash", *"kiln", "enter", "f3", "f8", "slash", *"desk")
        await app.workers.wait_for_complete()
        assert app.screen.query_one(VirtualTable).row_count == 2
        await press(pilot, *"zz")
        assert "no row holds “deskzz”: esc shows all again" in screen_text(app)
        await press(pilot, "escape")
        assert app.screen.query_one(VirtualTable).row_count == 12


def test_a_file_of_lines_is_read_where_it_is_named(built_register: Register, tmp_path: Path) -> None:
    form = PlaceForm(Desk(built_register, WHO, TODAY), PLACES["instrument_lines"], "")
    file = tmp_path / "lines.toml"
    typed = TypedForm({"place": str(file)}, {"place": "Lines of the instrument"}, frozenset())
    with pytest.raises(InputRefused, match="No such file") as refusal:
        form.keep(typed)
    assert refusal.value.field == "place"
    head = 'format = "appreg.instrument-lines"\nversion = 1\n[[line]]\n'
    file.write_text(f'{head}pattern = "[red] {{volts}}"\n', encoding="utf-8")
    with pytest.raises(InputRefused, match="line 4") as refusal:
        form.keep(typed)
    assert refusal.value.field == "place"
    file.write_text(f'{head}pattern = "[red] {{reading}}"\n', encoding="utf-8")
    assert form.keep(typed) == str(file)
