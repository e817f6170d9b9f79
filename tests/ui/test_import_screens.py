"""Tables from elsewhere by keys alone: looked at, told how they are read, planned, taken in, undone."""

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, Site, Visit
from appreg.core.values.outcomes import Outcome
from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.imports.import_mapping_screen import ImportMappingScreen
from appreg.ui.screens.imports.import_plan_screen import ImportPlanScreen
from appreg.ui.screens.imports.planned_row_screen import PlannedRowScreen
from appreg.ui.screens.imports.take_in_screen import TakeInScreen
from tests.ui.list_register import tagged

Apps = Callable[[], AppregApp]


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


def told(app: AppregApp) -> list[str]:
    return [each.message for each in app._notifications]


def found_of(app: AppregApp) -> str:
    return str(app.screen.query_one("#found", Static).render())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    for _ in range(3):
        await pilot.pause()


async def open_file(pilot: Pilot[None], path: Path) -> None:
    """Name a file in the form that asks for it."""
    await press(pilot, "I")
    assert isinstance(pilot.app.screen, FormScreen)
    pilot.app.screen.query_one(Input).value = str(path)
    await press(pilot, "ctrl+s")
    await press(pilot)


async def write_to(pilot: Pilot[None], path: Path) -> None:
    assert isinstance(pilot.app.screen, FormScreen)
    pilot.app.screen.query_one(Input).value = str(path)
    await press(pilot, "ctrl+s")
    await press(pilot)


async def take_in(pilot: Pilot[None]) -> None:
    """Have a copy kept, and say yes."""
    await press(pilot, "a")
    await press(pilot)
    asked = pilot.app.screen
    assert isinstance(asked, TakeInScreen)
    assert any(".sqlite" in str(each.render()) for each in asked.query(Static))
    await press(pilot, "y")
    await press(pilot)


def workbook(path: Path, rows: Sequence[Sequence[object]]) -> Path:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(list(row))
    book.save(path)
    return path


@pytest.fixture(autouse=True)
def settings_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Kept mappings go beside the settings."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))


def items_of(register: Register, name: str) -> list[Appliance]:
    (site,) = register.find(Site, name=name)
    return list(register.find(Appliance, site=site.uid))


async def test_a_workbook_of_sixty_items_with_five_faulty_rows_becomes_a_site(
    app_factory: Apps, built_register: Register, tmp_path: Path
) -> None:
    heads = ("Asset no", "Description", "Make", "Serial", "Class", "Cord length (m)", "Room", "Remarks")
    rows: list[list[object]] = [
        [f"MH-{at:03}", "Kettle", "Ardent", f"S{at:04}", "I", 1.5, f"Room {at % 4}", ""] for at in range(1, 61)
    ]
    rows[4][5] = "long"
    rows[14][4] = "seven"
    rows[24][0] = "MH-001"
    rows[34][1] = ""
    rows[44][5] = "-2"
    file = workbook(tmp_path / "items.xlsx", [heads, *rows])
    out = tmp_path / "left.xlsx"
    app = app_factory()
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot)
        await open_file(pilot, file)
        assert isinstance(app.screen, ImportMappingScreen)
        assert "cord length, m" in screen_text(app)
        await press(pilot, "p", *"new", "enter")
        app.screen.query_one("#name", Input).value = "Mill House"
        app.screen.query_one("#prefix", Input).value = "MH"
        await press(pilot, "ctrl+s")
        await press(pilot)
        assert isinstance(app.screen, ImportPlanScreen)
        assert "55 new · 1 in conflict · 4 unreadable" in screen_text(app)
        await press(pilot, "slash", *"conflict", "enter", "enter")
        assert isinstance(app.screen, PlannedRowScreen)
        assert "MH-001 stands in line 2 too" in screen_text(app)
        await press(pilot, "escape", "x")
        await write_to(pilot, out)
        await take_in(pilot)
        assert len(items_of(built_register, "Mill House")) == 55
        await press(pilot, "ctrl+z")
        await press(pilot)
        assert not items_of(built_register, "Mill House")
        await take_in(pilot)
        assert len(items_of(built_register, "Mill House")) == 55
        mend(out)
        await press(pilot, "f2")
        await open_file(pilot, out)
        await press(pilot, "p", *"mill", "enter")
        await press(pilot)
        assert "5 new" in screen_text(app)
        await take_in(pilot)
    assert len(items_of(built_register, "Mill House")) == 60


def mend(path: Path) -> None:
    """Correct what the table of left-out rows tells of each."""
    book = openpyxl.load_workbook(path)
    sheet = book.active
    heads = [cell.value for cell in sheet[1]]
    correct = {"Cord length (m)": 1.5, "Class": "I", "Asset no": "MH-025", "Description": "Kettle"}
    for row in sheet.iter_rows(min_row=2):
        for cell, head in zip(row, heads, strict=False):
            if head in correct and cell.value in {"long", "seven", "MH-001", "", None, "-2"}:
                cell.value = correct[head]
    book.save(path)


RESULTS = """\
date;asset no;earth continuity;insulation resistance;polarity;visual;functional;result;person
20/11/2026;HR-001;0,08;>299;ok;ok;ok;pass;Ada Brook
20/11/2026;HR-002;0,08;0,2;ok;ok;ok;pass;Ada Brook
20/11/2026;HR-003;0,09;>299;ok;ok;ok;fail;Ada Brook
"""


async def test_a_download_of_results_becomes_a_visit_with_two_disagreements(
    app_factory: Apps, built_register: Register, tmp_path: Path
) -> None:
    file = tmp_path / "results.csv"
    file.write_text(RESULTS, "cp1252")
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        await press(pilot, "f8")
        await open_file(pilot, file)
        assert isinstance(app.screen, ImportMappingScreen)
        assert "semicolon between cells" in screen_text(app)
        await press(pilot, "p")
        await press(pilot)
        assert isinstance(app.screen, ImportPlanScreen)
        assert "2 rows where what is stated disagrees" in screen_text(app)
        await press(pilot, "slash", *"disagrees", "enter", "enter")
        assert isinstance(app.screen, PlannedRowScreen)
        assert "HR-002" in screen_text(app)
        await press(pilot, "escape")
        await take_in(pilot)
    (visit,) = [each for each in built_register.find(Visit) if each.date == date(2026, 11, 20)]
    kept = built_register.find(Inspection, visit=visit.uid)
    outcomes = {built_register.get(Appliance, each.appliance).tag: each.outcome for each in kept}
    assert outcomes == {"HR-001": Outcome.PASS, "HR-002": Outcome.FAIL, "HR-003": Outcome.PASS}
    assert tagged(built_register, "HR-003").state is not ServiceState.IN_SERVICE


HOSTILE = (
    "tag,[red]name[/red],when,insulation (mΩ),remarks,\u202eevil\n"
    "HR-001,=1+1,03/04/2025,2,Łódź – Ελλάδα,\u05d0\u05d1\n"
    f"HR-002,{'x' * 300},05/06/2025,3,'=cmd,[b]\n"
)


async def test_what_a_table_leaves_in_doubt_is_asked_and_nothing_in_its_cells_acts(
    app_factory: Apps, tmp_path: Path
) -> None:
    file = tmp_path / "[red]odd.csv"
    file.write_text(HOSTILE, "utf-8")
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        await open_file(pilot, file)
        screen = app.screen
        assert isinstance(screen, ImportMappingScreen)
        assert "[red]name" in screen_text(app)
        await press(pilot, "end", "up", "up", "up", "enter", *"date", "enter")
        await press(pilot, "p")
        assert "order" in told(app)[-1]
        assert app.screen is screen
        await press(pilot, "c", "down", "ctrl+s")
        await press(pilot, "p")
        assert "milliohms" in told(app)[-1]
        await press(pilot, "c", *"MΩ", "ctrl+s")
        assert "question" not in screen_text(app)
        await press(pilot, "escape")
        assert "k keeps it as a mapping" in told(app)[-1]
        await press(pilot, "f3", "f2")
        assert app.screen is screen
        await press(pilot, "k", *"odd", "ctrl+s")
        assert "“odd” is kept" in told(app)[-1]
        await press(pilot, "escape")
        await open_file(pilot, file)
        assert "by the mapping “odd”" in found_of(app)
        await press(pilot, "p")
        await press(pilot)
        assert isinstance(app.screen, ImportPlanScreen)


async def test_a_table_too_broken_to_be_read_says_why_and_the_name_that_was_typed_stays(
    app_factory: Apps, tmp_path: Path
) -> None:
    file = tmp_path / "broken.xlsx"
    file.write_bytes(b"PK\x03\x04" + b"0" * 200)
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        await open_file(pilot, file)
        assert any("broken.xlsx" in each and "save it anew" in each for each in told(app))
        assert isinstance(app.screen, FormScreen)
        assert app.screen.query_one(Input).value == str(file)
        app.screen.query_one(Input).value = str(tmp_path)
        await press(pilot, "ctrl+s")
        assert "holds whole records" in " ".join(screen_text(app).split())


async def test_on_a_small_terminal_what_a_column_becomes_is_still_seen(app_factory: Apps, tmp_path: Path) -> None:
    file = tmp_path / "results.csv"
    file.write_text(RESULTS, "utf-8")
    app = app_factory()
    async with app.run_test(size=(60, 20)) as pilot:
        await press(pilot)
        await open_file(pilot, file)
        assert isinstance(app.screen, ImportMappingScreen)
        rows = screen_text(app).splitlines()
        assert any("column" in row and "becomes" in row for row in rows)
        assert any("the first rows" in row or "→" in row for row in rows)
