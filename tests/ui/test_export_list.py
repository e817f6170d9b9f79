"""A list is written as it stands: its filter, order and columns, days in ISO 8601, text that no spreadsheet runs."""

import csv
import json
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.register.opening.register_file import Register
from appreg.tasks.records.change_record import change_record
from appreg.ui.lists.list_screen import ListScreen
from tests.cli.json_forms import SCHEMAS, closed
from tests.ui.list_register import WHO, app_on, build_register, tagged


@pytest.fixture(name="register")
def _register(tmp_path: Path) -> Iterator[Register]:
    with build_register(tmp_path / "list.appreg") as register:
        yield register


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(2):
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def exported(pilot: Pilot[None], file: Path, *, every: bool = False) -> str:
    """Export the list on the screen by its key."""
    screen = pilot.app.screen
    assert isinstance(screen, ListScreen)
    screen.table.focus()
    await press(pilot, "f", "ctrl+u")
    pilot.app.screen.query("Input").first().value = str(file)  # type: ignore[attr-defined]
    if every:
        await press(pilot, "tab", "down")
    await press(pilot, "ctrl+s")
    await press(pilot)
    return _text(file)


def _text(file: Path) -> str:
    return file.read_text("utf-8")


def rows(text: str) -> list[list[str]]:
    return list(csv.reader(text.splitlines()))


async def test_items_are_written_with_the_filter_and_order_in_force(register: Register, tmp_path: Path) -> None:
    change_record(register, WHO, replace(tagged(register, "HR-002"), name="=1+1"))
    async with app_on(register).run_test(size=(200, 40)) as pilot:
        await press(pilot, "f8", "slash", *"hr", "enter", "equals_sign")
        head, *lines = rows(await exported(pilot, tmp_path / "items.csv"))
    assert head[:4] == ["tag", "item", "class", "type"]
    assert [line[0] for line in lines] == [f"HR-00{number}" for number in (6, 5, 4, 3, 2, 1)]
    assert lines[4][1] == "'=1+1"
    assert lines[5][head.index("class")] == "1"
    assert lines[5][head.index("next_test")] == "2026-11-03"


async def test_a_workbook_has_the_same_rows_with_days_as_days(register: Register, tmp_path: Path) -> None:
    async with app_on(register).run_test(size=(200, 40)) as pilot:
        await press(pilot, "f8", "slash", *"hr", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, ListScreen)
        screen.table.focus()
        await press(pilot, "f", "ctrl+u")
        pilot.app.screen.query("Input").first().value = str(tmp_path / "items.xlsx")  # type: ignore[attr-defined]
        await press(pilot, "ctrl+s")
        await press(pilot)
    sheet = openpyxl.load_workbook(tmp_path / "items.xlsx").active
    head, *lines = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert [line[0] for line in lines] == [f"HR-00{number}" for number in range(1, 7)]
    assert lines[0][head.index("next_test")] == datetime(2026, 11, 3)  # noqa: DTZ001 - openpyxl gives days so


async def test_only_the_columns_on_the_screen_are_written_unless_all_are_asked_for(
    register: Register, tmp_path: Path
) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3")
        few, *_ = rows(await exported(pilot, tmp_path / "few.csv"))
        every, *lines = rows(await exported(pilot, tmp_path / "every.csv", every=True))
    assert set(few) < set(every) == {"tag", "item", "site", "location", "what", "due", "state", "days", "because"}
    first = dict(zip(every, lines[0], strict=True))
    assert (first["due"], first["what"], first["days"][0]) == ("2026-02-03", "visual", "-")
    assert dict(zip(every, lines[-1], strict=True))["due"] == ""


async def test_sites_are_written_as_json_with_counts_that_name_their_unit(register: Register, tmp_path: Path) -> None:
    async with app_on(register).run_test(size=(200, 40)) as pilot:
        await press(pilot)
        answer: dict[str, Any] = json.loads(await exported(pilot, tmp_path / "sites.json"))
    Draft202012Validator(closed(SCHEMAS["appreg.list"])).validate(answer)
    assert (answer["list"], answer["sorted_by"]) == ("sites", "")
    harbour = answer["rows"][0]
    assert (harbour["site"], harbour["items"], harbour["overdue_items"], harbour["overdue_share"]) == (
        "Harbour Row 14", 6, 5, 84,
    )  # fmt: skip
    assert "months" not in harbour


async def test_a_file_says_what_the_list_was_kept_to(register: Register, tmp_path: Path) -> None:
    async with app_on(register).run_test(size=(200, 40)) as pilot:
        await press(pilot, "f3", "t", "t")
        answer: dict[str, Any] = json.loads(await exported(pilot, tmp_path / "due.json"))
        assert answer["list"] == "due · all sites · within 30 days · only due soon"
        await press(pilot, "f8", "s", *"kiln", "enter")
        answer = json.loads(await exported(pilot, tmp_path / "items.json"))
        assert answer["list"] == "items · Kiln Lane pottery"


async def test_no_file_is_written_of_what_was_not_understood(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40), notifications=True) as pilot:
        await press(pilot, "f8", "slash", *"stat:overdue", "enter", "f")
        assert isinstance(pilot.app.screen, ListScreen)
        said = [note.message for note in pilot.app._notifications]
        assert [words for words in said if words.startswith("No file is written of what was not understood: There is")]
