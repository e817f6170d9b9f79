"""A flat by keys in each of the three books: refused, no access, mistyped, put right, repaired; all told, all back next year."""

import re
from datetime import date
from decimal import Decimal
from pathlib import Path

import pypdfium2
import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.core.records.kept_records import Appliance, Instrument, Location, Person, Site, Visit
from appreg.core.records.work_records import NotInspected
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections, findings_of
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.inspecting.open_bench import items_for_visit
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.records.add_walked_items import add_walked_items
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.screens.bench.bench_lines import LineShape
from appreg.ui.screens.bench.bench_screen import BenchScreen
from tests.ui.bench_register import KETTLE, TODAY, WHO, BenchTable, Facts, lay_table

NAMED = {".": "full_stop", ">": "greater_than_sign", " ": "space"}
PUT_RIGHT = {
    "gb": ("fuse", "20 A", "13 A fitted"),
    "eu": ("plug", "pin loose", "new plug"),
    "anz": ("plug", "pin loose", "new plug"),
}
"""By book: a thing to look at, how it was found, and what was done; only plugs of the first have a fuse."""
GOOD = {"earth-continuity": "0.05", "insulation": ">299", "leakage": "0.1"}


@pytest.fixture(name="table", params=["gb", "eu", "anz"])
def _table(tmp_path: Path, request: pytest.FixtureRequest) -> BenchTable:
    """A kettle read from its plate; two lamps, a heater and a television from their categories."""
    fused = Facts(fuse_a=Decimal(13) if request.param == "gb" else None)
    table = lay_table(tmp_path / "r.sqlite", ("Kettle", Facts(**{**KETTLE, **fused})))
    register = table.register
    seed_categories(register, WHO)
    book = load_rule_book(request.param)
    environment = next(iter(book.interval_tables[book.default_interval_table].environments))
    (site,) = register.find(Site)
    change_record(register, WHO, replace(site, rule_book=book.id, interval_table="", environment=environment))
    (place,) = register.find(Location)
    for typed in ("desk lamp", "floor lamp", "convector heater", "tv"):
        add_walked_items(register, WHO, location=place.uid, typed=typed)
    return table


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*(NAMED.get(key, key) for key in keys))
    for _ in range(3):
        await pilot.pause()


def bench_of(pilot: Pilot[None]) -> BenchScreen:
    screen = pilot.app.screen
    assert isinstance(screen, BenchScreen)
    return screen


async def inspect(pilot: Pilot[None], **bad: str) -> None:
    """Answer every open line of the item at hand and keep it; `bad` are readings by check, a stroke for a hyphen."""
    readings = {**GOOD, **{check.replace("_", "-"): typed for check, typed in bad.items()}}
    while not bench_of(pilot).board.at_outcome:
        line = bench_of(pilot).board.current
        assert line is not None
        if line.shape is LineShape.READING:
            await press(pilot, *readings[line.line_id], "enter")
        else:
            await press(pilot, "space")
    await press(pilot, "enter")


async def put_right(pilot: Pilot[None], thing: str, found: str, done: str) -> None:
    """Fail one thing of the list on sight and put it right at once."""
    (look,) = (line for line in bench_of(pilot).board.lines if line.line_id == "visual")
    assert look is bench_of(pilot).board.current
    ids = [line.id for line in bench_of(pilot).state.item.visual_lines]  # type: ignore[union-attr]
    await press(pilot, *["right"] * ids.index(thing), "x", *found, "enter", "ctrl+k", *done, "enter")


async def test_a_flat_is_told_as_it_was_and_comes_back_whole(table: BenchTable, tmp_path: Path) -> None:
    register = table.register
    async with table.app().run_test(size=(100, 40)) as pilot:
        await pilot.app.push_screen(BenchScreen(visit=table.visit.uid, appliance=table.uid(0)))
        await press(pilot)
        await inspect(pilot, earth_continuity="5")
        await press(pilot, "enter", "pageup")
        await inspect(pilot)
        await press(pilot, *"mistyped, 0.05 was meant", "enter")
        await inspect(pilot, insulation="0.2")
        await press(pilot, "enter", "pageup")
        await inspect(pilot)
        await press(pilot, *"new cord", "enter")
        await put_right(pilot, *PUT_RIGHT[book_of(table)])
        await inspect(pilot)
        await press(pilot, "ctrl+x", "ctrl+s")
        await press(pilot, "ctrl+x", "down", "ctrl+s")
    items = {each.name: each for each in register.find(Appliance)}
    assert {items[name].last_outcome for name in ("Kettle", "Desk lamp", "Floor lamp")} == {Outcome.PASS}
    (once,) = effective_inspections(register, items["Floor lamp"].uid)
    (look,) = (each for each in findings_of(register, once.uid) if each.check_name == "visual")
    assert [each.rpartition(" ")[2] for each in look.attempts] == ["fail", "pass"]
    assert [each.outcome for each in effective_inspections(register, items["Desk lamp"].uid)] == [
        Outcome.PASS,
        Outcome.FAIL,
    ]
    assert [each.because.value for each in register.find(NotInspected)] == ["no access", "refused"]
    text = report_of(table, tmp_path / "report.pdf")
    thing, found, done = PUT_RIGHT[book_of(table)]
    on_the_spot = f"{thing}: found {found}; put right on the spot: {done}"
    assert "Defects were found on HR-002, HR-003." in text
    assert f"HR-003: {on_the_spot}." in text
    told = ("mistyped, 0.05 was meant", "new cord", "Items inspected (3)", "Not inspected (2)", "no access", "refused")
    assert bool(re.search(r"\bfuse\b", text)) is (book_of(table) == "gb")
    for words in (*told, on_the_spot):
        assert words in text, words
    (person,), (instrument,) = register.find(Person), register.find(Instrument)
    later = start_visit(
        register, WHO, site=table.visit.site, on=date(2027, 11, 24), person=person.uid, instrument=instrument.uid
    )
    assert [each.inspection for each in items_for_visit(register, later.uid)] == [None] * 5
    register.close()


def book_of(table: BenchTable) -> str:
    return table.register.get(Site, table.visit.site).rule_book


def report_of(table: BenchTable, path: Path) -> str:
    (visit,) = table.register.find(Visit)
    write_visit_report(table.register, visit=visit.uid, out=path, today=TODAY)
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)
