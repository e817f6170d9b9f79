from datetime import date
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from msgspec.structs import replace
from PIL import Image
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import LeakageEntry
from appreg.core.records.kept_records import Location, QueuedLabel, Site
from appreg.core.values.label_codes import code_text
from appreg.core.values.readings import Unit, parse_reading
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.paper.labels.sheet_list import read_list
from appreg.register.opening.register_file import Register
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from appreg.tasks.standing.queue_labels import WaitingLabel, waiting_labels
from appreg.ui.screens.asking.pick_screen import PickScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.label_tray import label_tray_screen
from appreg.ui.screens.label_tray.destroy_screen import DestroyScreen
from appreg.ui.screens.label_tray.label_tray_screen import LabelTrayScreen
from appreg.ui.widgets.code_preview import CodePreview, LabelPicture
from tests.paper.pdf_reading import codes_on, whole_text
from tests.tasks.worked_site import combined, worked_site
from tests.ui.list_register import WHO, app_on, bring_in_date, build_register, tagged

UPPER, LOWER = "█▀", "█▄"


@pytest.fixture
def register(tmp_path: Path) -> Register:
    """Its items are in date, so that their labels may be printed."""
    return bring_in_date(build_register(tmp_path / "tray.appreg"))


async def open_tray(pilot: Pilot[None]) -> LabelTrayScreen:
    await pilot.pause()
    await pilot.press("f4")
    await pilot.pause()
    screen = pilot.app.screen
    assert isinstance(screen, LabelTrayScreen)
    return screen


async def settled(pilot: Pilot[None]) -> None:
    """Wait for the thread that measures the words of a label, and for what it leads to."""
    for _ in range(3):
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()


def order(screen: LabelTrayScreen) -> str:
    return str(screen.query_one("#order", Static).render())


def picture(screen: LabelTrayScreen) -> LabelPicture:
    shown = screen.query_one(CodePreview).picture
    assert shown is not None
    return shown


def read_back(lines: tuple[str, ...]) -> str:
    """Read a code drawn in half blocks with a reader that is not the program's own."""
    rows = [[cell in half for cell in line] for line in lines for half in (UPPER, LOWER)]
    image = Image.new("L", (len(rows[0]), len(rows)))
    image.putdata([255 if light else 0 for row in rows for light in row])
    found = zxingcpp.read_barcodes(image.resize((image.width * 4, image.height * 4), Image.Resampling.NEAREST))
    return found[0].text


async def test_the_preview_holds_the_real_code_of_the_label_under_the_cursor(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        for tag in ("HR-001", "HR-002"):
            await settled(pilot)
            assert picture(screen).tag == tag
            assert read_back(picture(screen).code) == code_text(tag, tagged(register, tag).uid)
            await pilot.press("down")


async def test_the_whole_code_is_on_a_screen_of_80_by_24(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        await settled(pilot)
        preview = screen.query_one(CodePreview)
        drawn = str(preview.render()).split("\n")
        assert tuple(drawn[-len(picture(screen).code) :]) == picture(screen).code
        assert len(drawn) <= preview.size.height
        assert max(map(len, picture(screen).code)) <= preview.size.width


async def test_a_failed_item_gets_a_do_not_use_label_without_a_next_date(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        await pilot.press("d", "slash", *"KL-002", "enter")
        await settled(pilot)
        assert "DO NOT USE" in str(screen.query_one(CodePreview).render())
        assert not any(line.startswith("next ") for line in picture(screen).lines)
        await pilot.press("slash", "escape", "slash", *"KL-003", "enter")
        await settled(pilot)
        assert "PASS" in str(screen.query_one(CodePreview).render())
        assert any(line.startswith("next ") for line in picture(screen).lines)
        await pilot.press("d")
        await settled(pilot)
        assert not any(line.startswith("next ") for line in picture(screen).lines)


async def test_keys_choose_the_stock_and_the_place_to_start(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        waiting = len(register.find(QueuedLabel, printed_on=None))
        assert f"{waiting} labels from place 1 · 2 sheets" in order(screen)
        await pilot.press("s")
        assert "40 labels" in order(screen)
        await pilot.press("s")
        assert "65 labels" in order(screen)
        await pilot.press("right_square_bracket", "right_square_bracket", "left_square_bracket")
        assert "from place 2" in order(screen)
        screen.sheet.focus()
        await pilot.press("down", "right", "enter")
        assert "from place 8" in order(screen)
        await pilot.press(*["down"] * 20, "enter")
        assert "from place 63 · 1 sheet" not in order(screen)
        assert "3 sheets" in order(screen)
        await pilot.press("s")
        assert "54 round labels" in order(screen)
        assert screen.sheet.start <= 54
        await pilot.press("s", "s")
        assert "folded round a cord" in order(screen)
        assert "10 sheets" in order(screen)
        await pilot.press("s")
        assert "24 labels" in order(screen)


async def test_used_places_are_marked_on_the_sheet_and_nothing_is_printed_on_them(
    register: Register, tmp_path: Path
) -> None:
    out = tmp_path / "sheets.pdf"
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        screen.sheet.focus()
        await pilot.press("right", "enter", "right", "space", "down", "space", "home", "space", "space")
        await pilot.pause()
        assert screen.sheet.start == 2
        assert screen.sheet.used == {1, 2, 3, 7}
        assert "from place 2, 2 places after it used" in order(screen)
        await pilot.press("left", "space")
        await pilot.pause()
        assert screen.sheet.used == {1, 3, 7}
        await pilot.press("p")
        await pilot.pause()
        await pilot.press("ctrl+u", *str(out), "ctrl+s")
        await settled(pilot)
        await pilot.press("escape")
        listed = [(each.sheet, each.place) for each in read_list(out)]
        assert listed[:5] == [(1, 2), (1, 4), (1, 5), (1, 6), (1, 8)]
        await pilot.press("s", "s")
        await pilot.pause()
        assert screen.sheet.used == frozenset()
        screen.sheet.used = frozenset({60})
        screen.shell.change_settings(replace(screen.shell.settings, label_stock="a4-40"))
        screen.load()
        await pilot.pause()
        assert screen.sheet.used == frozenset(), "on a smaller sheet there is no such place"


async def test_a_sheet_without_a_free_place_is_said_and_not_printed_on(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        screen.sheet.start, screen.sheet.used = 24, frozenset({24})
        await pilot.pause()
        assert "no place of the first sheet is free" in order(screen)
        await pilot.press("p")
        await pilot.pause()
        assert pilot.app.screen is screen


async def test_the_tray_reads_its_labels_once_until_something_is_saved(
    register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    reads = []

    def read(*args: object, **asked: object) -> tuple[WaitingLabel, ...]:
        reads.append(asked)
        return waiting_labels(*args, **asked)  # type: ignore[arg-type]

    monkeypatch.setattr(label_tray_screen, "waiting_labels", read)
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        await pilot.press("f2", "f4", "s", "d", "right_square_bracket")
        screen._site = register.find(Site)[-1].uid
        screen.load()
        await pilot.pause()
        assert len(reads) == 1
        await pilot.press("x")
        await pilot.pause()
        assert len(reads) == 2


async def test_a_click_on_the_sheet_says_where_to_start(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        await pilot.click("SheetMap", offset=(9, 2))
        assert screen.sheet.start == 9


async def test_labels_are_taken_out_of_the_tray_unprinted(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        before = screen.table.row_count
        await pilot.press("space", "space", "x")
        await pilot.pause()
        assert screen.table.row_count == before - 2
        assert len(register.find(QueuedLabel, printed_on=None)) == before - 2
        assert not screen.table.choice.keys


async def test_printing_asks_for_a_file_writes_the_sheets_and_empties_the_tray(
    register: Register, tmp_path: Path
) -> None:
    out = tmp_path / "sheets.pdf"
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        count = screen.table.row_count
        await pilot.press(*["right_square_bracket"] * 3, "p")
        await pilot.pause()
        await pilot.press("ctrl+u", *str(out), "ctrl+s")
        await settled(pilot)
        await pilot.pause()
        assert len(register.find(QueuedLabel, printed_on=None)) == count, "written is not printed"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert screen.table.row_count == 0
        assert register.find(QueuedLabel, printed_on=None) == []
        assert 1 < screen.sheet.start < count, "the second site began a sheet of its own"
    document = pypdfium2.PdfDocument(out)
    codes = [code for page in document for code in zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil())]
    assert len(codes) == count
    document.close()


async def test_a_file_that_exists_is_replaced_only_where_the_answer_is_to_replace_it(
    register: Register, tmp_path: Path
) -> None:
    out = tmp_path / "kept.pdf"
    out.write_text("kept", encoding="ascii")
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        await pilot.press("p")
        await pilot.pause()
        await pilot.press("ctrl+u", *str(out), "ctrl+s")
        await pilot.pause()
        for kept in ("enter", "escape"):
            assert isinstance(pilot.app.screen, PickScreen)
            await pilot.press(kept)
            await pilot.pause()
            assert isinstance(pilot.app.screen, FormScreen)
            assert pilot.app.screen.typed.text("file") == str(out)
            await pilot.press("ctrl+s")
            await pilot.pause()
        assert out.read_text(encoding="ascii") == "kept"
        assert register.find(QueuedLabel, printed_on=None)
        await pilot.press("down", "enter")
        await settled(pilot)
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert register.find(QueuedLabel, printed_on=None), "a form that was left counts nothing"
    assert out.read_bytes().startswith(b"%PDF")


async def test_labels_whose_file_could_not_be_written_still_wait(register: Register, tmp_path: Path) -> None:
    out = tmp_path / "late.pdf"
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        waiting = len(register.find(QueuedLabel, printed_on=None))
        screen._print_to(out, False)
        out.write_text("theirs", encoding="ascii")
        await settled(pilot)
        await pilot.pause()
        assert len(register.find(QueuedLabel, printed_on=None)) == waiting
    assert out.read_text(encoding="ascii") == "theirs"


async def test_an_empty_tray_says_what_fills_it(register: Register) -> None:
    with register.change("test") as change:
        for label in register.find(QueuedLabel):
            change.remove(label)
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        assert screen.query_one(CodePreview).picture is None
        await pilot.press("p", "x")
        await pilot.pause()
        assert pilot.app.screen is screen


async def test_labels_that_became_untrue_are_named_on_a_screen_that_must_be_read(
    register: Register, tmp_path: Path
) -> None:
    withdrawn = tagged(register, "HR-002")
    set_service_state(register, WHO, appliance=withdrawn.uid, state=ServiceState.WITHDRAWN, reason="no lead")
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        screen._print_to(tmp_path / "labels.pdf", replace=False)
        await settled(pilot)
        await pilot.pause()
        assert isinstance(pilot.app.screen, DestroyScreen)
        (line,) = pilot.app.screen.query(".left-out").results(Static)
        assert "The label of HR-002 was left out: it is withdrawn." in str(line.render())
        await pilot.press("f3", "y")
        await pilot.pause()
        assert isinstance(pilot.app.screen, FormScreen)
        await pilot.press(*"1-2", "ctrl+s")
        await pilot.pause()
        assert isinstance(pilot.app.screen, LabelTrayScreen)
        waiting = {tagged(register, "HR-001").uid, withdrawn.uid, screen._printable[-1].appliance.uid}
        assert {each.appliance for each in register.find(QueuedLabel, printed_on=None)} == waiting
        assert (tmp_path / "labels.pdf").is_file()


async def test_where_only_labels_left_out_wait_printing_says_why(register: Register) -> None:
    kept = tagged(register, "HR-002")
    with register.change("test") as change:
        for label in register.find(QueuedLabel):
            if label.appliance != kept.uid:
                change.remove(label)
    set_service_state(register, WHO, appliance=kept.uid, state=ServiceState.WITHDRAWN, reason="no lead")
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        await open_tray(pilot)
        await pilot.press("p")
        await pilot.pause()
        assert isinstance(pilot.app.screen, DestroyScreen)
        (line,) = pilot.app.screen.query(".left-out").results(Static)
        assert "The label of HR-002 was left out: it is withdrawn." in str(line.render())


async def test_a_refused_taking_out_of_labels_leaves_them_chosen(
    register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise InputRefused("Another program writes.")

    monkeypatch.setattr(label_tray_screen, "remove_from_tray", refuse)
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        await pilot.press("space", "x")
        await pilot.pause()
        assert len(screen.table.choice.keys) == 1


async def test_the_tray_is_read_once_while_nothing_is_saved(
    register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = []

    def counted(register: Register, *, today: date, site: Uid | None = None) -> tuple[WaitingLabel, ...]:
        read.append(1)
        return waiting_labels(register, today=today, site=site)

    monkeypatch.setattr(label_tray_screen, "waiting_labels", counted)
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_tray(pilot)
        await pilot.press("p", "escape", "f1", "escape")
        await pilot.pause()
        assert read == [1]
        set_service_state(register, WHO, appliance=tagged(register, "HR-002").uid, state=ServiceState.WITHDRAWN)
        await pilot.press("f1", "escape")
        await pilot.pause()
        assert read == [1, 1]
        assert any(each.untrue for each in screen._waiting)


async def test_what_the_labels_lack_by_their_book_stands_in_the_tray_and_before_the_file_is_written(
    tmp_path: Path,
) -> None:
    with worked_site(tmp_path) as here:
        change_record(here.register, WHO, replace(here.site, rule_book="eu", environment="office"))
        leakage = LeakageEntry(reading=parse_reading("0.1", Unit.MILLIAMP))
        here.record(here.kettle(), replace(combined(), leakage=leakage))
        async with app_on(here.register).run_test(size=(80, 24)) as pilot:
            screen = await open_tray(pilot)
            assert "a label names the tester's firm, and none is recorded for Wren A" in order(screen)
            await settled(pilot)
            assert "24.11.2026 · WA" in picture(screen).lines
            await pilot.press("p")
            await pilot.pause()
            form = pilot.app.screen
            assert isinstance(form, FormScreen)
            assert "tester's firm" in str(form.query_one("#cautions", Static).render())


async def test_tags_beforehand_location_labels_and_a_calibration_page_are_written_from_the_tray(
    register: Register, tmp_path: Path
) -> None:
    async with app_on(register).run_test(size=(100, 30)) as pilot:
        screen = await open_tray(pilot)
        screen.action_tags_beforehand()
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        await pilot.press(*"QX-901..QX-903", "ctrl+s")
        await pilot.pause()
        await pilot.press("ctrl+u", *str(tmp_path / "tags.pdf"), "ctrl+s")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert "QX-903" in whole_text(tmp_path / "tags.pdf")
        screen._site = register.find(Site)[0].uid
        screen.action_location_labels()
        await pilot.pause()
        await pilot.press("ctrl+u", *str(tmp_path / "rooms.pdf"), "ctrl+s")
        await pilot.pause()
        assert len(codes_on(tmp_path / "rooms.pdf")) == len(register.find(Location, site=screen._site))
        screen.action_calibration()
        await pilot.pause()
        await pilot.press("ctrl+u", *str(tmp_path / "cross.pdf"), "ctrl+s")
        await pilot.pause()
        assert "Measure the rulers" in whole_text(tmp_path / "cross.pdf")
    assert len(register.find(QueuedLabel, printed_on=None)) > 0, "none of it counts"
