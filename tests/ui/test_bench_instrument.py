"""Readings of an instrument on the Bench: they land on their lines as if typed, are judged so, and keep nothing."""

import os
import tty
from pathlib import Path

import pytest
from msgspec.structs import replace
from textual import events
from textual.pilot import Pilot

from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Inspection
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.ui.app import AppregApp
from appreg.ui.scanning_app import LineSent
from appreg.ui.screens.bench.bench_lines import line_of
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.bench.remark_screen import RemarkScreen
from tests.ui.bench_register import KETTLE, TODAY, WHO, BenchTable, bench_of, lay_table
from tests.ui.list_register import clock_with_gap

LINES = """
format = "appreg.instrument-lines"
version = 1

[[line]]
pattern = "PE {earth-continuity} ISO {insulation}"

[[line]]
pattern = "RM {reading} {unit}"

[[line]]
pattern = "IL {reading}"
check = "leakage"

[[line]]
pattern = "{reading}"
unit = "mΩ"
"""
EARTH, INSULATION = line_of(Check.EARTH_CONTINUITY), line_of(Check.INSULATION)
KEYS = {
    " ": "space",
    ".": "full_stop",
    ">": "greater_than_sign",
    "\n": "enter",
    "\t": "tab",
    "[": "left_square_bracket",
}


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    (tmp_path / "lines.toml").write_text(LINES, encoding="utf-8")
    return lay_table(tmp_path / "register.db", ("Kettle", KETTLE), ("Toaster", KETTLE))


def app_on(table: BenchTable, folder: Path, port: str = "", gap: int = 5) -> AppregApp:
    app = AppregApp(table.register, today=TODAY, who=WHO, clock=clock_with_gap(gap))
    app.settings = replace(app.settings, instrument_lines=str(folder / "lines.toml"), instrument_port=port)
    return app


async def start(pilot: Pilot[None], table: BenchTable) -> BenchScreen:
    assert isinstance(pilot.app, AppregApp)
    pilot.app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
    await press(pilot)
    return bench_of(pilot.app)


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


async def types(pilot: Pilot[None], line: str) -> None:
    """As an instrument that is a keyboard does."""
    await press(pilot, *(KEYS.get(character, character) for character in line))


def standing(bench: BenchScreen) -> dict[str, str]:
    return {line: text for line, text in bench.state.entries.typed.items() if text}


def said(app: AppregApp) -> str:
    return " | ".join(each.message for each in app._notifications)


def kept(table: BenchTable) -> list[Inspection]:
    return effective_inspections(table.register, table.uid(0))


@pytest.mark.usefixtures("patient_scans")
async def test_lines_typed_by_an_instrument_land_where_they_belong_and_keep_nothing(
    table: BenchTable, tmp_path: Path
) -> None:
    app = app_on(table, tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        await press(pilot, "space")
        await types(pilot, "RM 55 mohm\n")  # the line under the cursor
        assert standing(bench) == {EARTH: "0.055"}
        assert bench.board.current_check is Check.EARTH_CONTINUITY
        assert "by the instrument: earth 0.055" in bench.next_key_does()
        assert bench.state.entries.times[EARTH]

        await types(pilot, "PE 0.09 ISO >299\n")  # something stands there: nothing of the line is taken
        assert standing(bench) == {EARTH: "0.055"}
        assert "earth stands at 0.055 already, and the instrument sent 0.09" in said(app)

        await press(pilot, "exclamation_mark")
        await types(pilot, "PE\t0.09 ISO >299\n")
        assert standing(bench) == {EARTH: "0.09", INSULATION: ">299"}
        assert [each.partition(" ")[2] for each in bench.state.entries.all_attempts(EARTH)] == ["0.055", "0.09"]
        assert kept(table) == []

        await press(pilot, "enter", "enter", "space", "enter")
        judged = kept(table)[0]
        assert judged.outcome is Outcome.PASS


@pytest.mark.usefixtures("patient_scans")
@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("IL 0.25\n", "leakage, which is not asked for here"),
        ("RM 5 mA\n", "5 mA' is not in a unit of resistance"),
        ("RM x! xX\n", "nothing was taken"),
        ("PE 0.12\n", "nothing was taken"),
        ("PE 0.12 ISO [red]\n", "'[red]' is not a figure"),
    ],
)
async def test_a_line_that_cannot_be_taken_is_told_and_changes_nothing(
    table: BenchTable, tmp_path: Path, line: str, why: str
) -> None:
    app = app_on(table, tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        await press(pilot, "space")
        before = bench.state.entries
        await types(pilot, line)
        assert bench.state.entries == before
        assert bench.board.current_check is Check.EARTH_CONTINUITY
        assert app.screen is bench
        assert why in said(app)


@pytest.mark.usefixtures("patient_scans")
async def test_a_reading_without_a_check_lands_nowhere_but_on_a_line_for_readings(
    table: BenchTable, tmp_path: Path
) -> None:
    app = app_on(table, tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        await types(pilot, "RM 55 mohm\n")  # the visual list has the keys
        assert standing(bench) == {}
        assert "does not say its check" in said(app)


@pytest.mark.usefixtures("patient_scans")
async def test_what_a_person_types_is_never_read_by_a_pattern(table: BenchTable, tmp_path: Path) -> None:
    app = app_on(table, tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        await press(pilot, "space")
        await types(pilot, "0.09\n")  # not 0.09 mΩ
        assert standing(bench) == {EARTH: "0.09"}
        assert bench.board.current_check is Check.INSULATION


async def test_pasted_lines_are_read_like_typed_ones_and_doubted_like_them(table: BenchTable, tmp_path: Path) -> None:
    app = app_on(table, tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        await press(pilot, "space")
        app.post_message(events.Paste("PE 0.00 ISO >299\r\n"))
        await press(pilot)
        assert standing(bench) == {EARTH: "0.00", INSULATION: ">299"}
        line = bench.board.current
        assert line is not None
        assert line.view is not None
        assert line.view.word == "doubted"
        await press(pilot, "down", "down", "space")
        assert bench.state.judged is not None
        assert bench.state.judged.outcome is Outcome.INCOMPLETE


async def test_a_reading_on_the_port_lands_and_nothing_does_under_another_screen(
    table: BenchTable, tmp_path: Path
) -> None:
    instrument, port = os.openpty()
    tty.setraw(port)
    app = app_on(table, tmp_path, port=os.ttyname(port))
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        await press(pilot, "space")
        for _ in range(500):
            if standing(bench):
                break
            os.write(instrument, b"120\r\n")  # mΩ: the mapping says so
            await pilot.pause(0.05)
        assert standing(bench) == {EARTH: "0.120"}
        before = bench.state.entries

        await press(pilot, "ctrl+r")
        assert isinstance(app.screen, RemarkScreen)
        app.post_message(LineSent("PE 0.01 ISO 1", bench))
        await press(pilot)
        assert bench.state.entries == before
        assert "something lay over the Bench" in said(app)
    os.close(port)
    os.close(instrument)
    assert kept(table) == []


async def test_a_line_on_the_port_waits_for_the_keys_before_it(table: BenchTable, tmp_path: Path) -> None:
    app = app_on(table, tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        await press(pilot, "space", *"0.09", "enter", *">299", "enter")
        for key in ("space", "enter"):
            app.post_message(events.Key(key, " " if key == "space" else "\r"))
        app.post_message(LineSent("PE 0.11 ISO 250", bench))
        await press(pilot)
        assert bench.state.item is not None
        assert bench.state.item.appliance.uid == table.uid(1)
        assert standing(bench) == {EARTH: "0.11", INSULATION: "250"}
        assert [line.text for line in bench.board.lines if line.text] == ["0.11", "250"]
        assert len(kept(table)) == 1


async def test_a_file_that_cannot_be_read_is_told_and_the_bench_works_without(
    table: BenchTable, tmp_path: Path
) -> None:
    (tmp_path / "lines.toml").write_text(LINES.replace("{unit}", "{volts}"), encoding="utf-8")
    app = app_on(table, tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        assert "lines.toml, line 9" in said(app)
        await press(pilot, "space", *"0.09", "enter")
        assert standing(bench) == {EARTH: "0.09"}
