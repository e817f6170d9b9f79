"""A whole visit driven by keys alone: a new site, twelve items, two failures, labels and the report read back."""

import re
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Final

import pypdf
import pypdfium2
import pytest
import zxingcpp
from msgspec import Struct
from textual.pilot import Pilot

from appreg.clock import Instant
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Client, Site, Visit
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections, findings_of
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.items.find_items import find_items
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.app import AppregApp
from tests.postgres_server import place_for
from tests.ui.quick_keys import press, rest

TODAY: Final = date(2026, 11, 24)

LAMP: Final = ("space", *">299", "enter", "space", "enter")
HEATED: Final = ("space", *"0.08", "enter", *">299", "enter", "space", "enter")
LEAD: Final = ("space", *"0.11", "ctrl+b", "enter", "space", *">299", "enter", "enter")
OVEN: Final = ("space", *"0.09", "enter", *">299", "enter", "space", *"1.2", "enter", "enter")
FAILS_EARTH: Final = ("space", *"0.92", "enter", "enter", "enter")
FAILS_LOOK: Final = ("x", *"cord cut", "enter", "enter", "enter", "enter")


class Walked(Struct, frozen=True):
    typed: str
    keys: tuple[tuple[str, ...], ...]
    """On the Bench, one sequence an item that the line adds."""


KITCHEN: Final = (
    Walked("kettle", (HEATED,)),
    Walked("toaster", (FAILS_EARTH,)),
    Walked("microwave oven", (OVEN,)),
    Walked("four-way lead", (LEAD,)),
    Walked("iron", (HEATED,)),
)
LIVING_ROOM: Final = (
    Walked("3 table lamp", (LAMP, FAILS_LOOK, LAMP)),
    Walked("floor lamp", (LAMP,)),
    Walked("convector heater", (HEATED,)),
    Walked("fan heater", (LAMP,)),
    Walked("extension lead", (LEAD,)),
)
FAILED: Final = {"QF-002": "earth-continuity", "QF-007": "visual"}


@pytest.fixture(name="register")
def _register(tmp_path: Path) -> Register:
    register = open_register(place_for(tmp_path / "flat.sqlite"), clock=lambda: Instant(1_795_514_400_000))
    seed_categories(register, "test")
    return register


async def fill(pilot: Pilot[None], *answers: str) -> None:
    """Type the fields of a form one after the other; an empty answer leaves the field as it stands."""
    for answer in answers:
        await press(pilot, *answer, "enter")


async def found_the_site(pilot: Pilot[None]) -> None:
    await press(pilot, "n")
    await fill(pilot, "Quay Flat")
    await press(pilot, "insert")
    await fill(pilot, "Nell Quarry", "4 Ropewalk, Port Ellarig")
    await press(pilot, "ctrl+s", "enter")
    await fill(pilot, "Flat 3, Quay House")
    await press(
        pilot, "tab", "tab", "tab", "tab", "down", "down"
    )  # tag prefix, book, table, environment; the duty below
    await press(pilot, "ctrl+s")


async def walk_round(pilot: Pilot[None]) -> None:
    await press(pilot, "a")
    for room, lines in (("Kitchen", KITCHEN), ("Living room", LIVING_ROOM)):
        if room != "Kitchen":
            await press(pilot, "pageup")
        await press(pilot, *room, "enter")
        for line in lines:
            await press(pilot, *line.typed, "enter")
    await press(pilot, "escape")


async def inspect(pilot: Pilot[None]) -> None:
    await press(pilot, "tab", "insert")  # leaving the walk-round asks for the visit
    await fill(pilot, "Ida Fenn", "IF", "inspection and test, level 3", "Unit 2, Port Ellarig", "Fenn & Marsh")
    await press(pilot, "tab", "insert")
    await fill(pilot, "Bench tester", "77-1", "24 Mar 2027")
    await press(pilot, "ctrl+s", "ctrl+s")
    for line in (*KITCHEN, *LIVING_ROOM):
        for keys in line.keys:
            await press(pilot, *keys)


async def into_file(pilot: Pilot[None], file: Path) -> None:
    await press(pilot, "end", "ctrl+u", *str(file), "enter")
    for _ in range(100):
        if file.exists():  # noqa: ASYNC240 - a look at the disk costs nothing here
            break
        await pilot.pause(0.1)
    await rest(pilot)


async def test_a_new_site_is_walked_round_inspected_labelled_and_reported(register: Register, tmp_path: Path) -> None:
    app = AppregApp(register, today=TODAY, who="IF")
    labels, report = tmp_path / "labels.pdf", tmp_path / "report.pdf"
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "y")
        await found_the_site(pilot)
        await walk_round(pilot)
        await inspect(pilot)
        await press(pilot, "escape", "f4")
        await press(pilot, "p")
        await into_file(pilot, labels)
        await press(pilot, "ctrl+s")
        await press(pilot, "f2", "enter", "y", "p")
        await into_file(pilot, report)
    check_register(register)
    check_labels(register, labels)
    check_report(report)


def items_of(register: Register) -> dict[str, Appliance]:
    return {item.tag: item for item in register.find(Appliance)}


def check_register(register: Register) -> None:
    (site,) = register.find(Site)
    (client,) = register.find(Client)
    (visit,) = register.find(Visit)
    items = items_of(register)
    assert (site.name, client.name, visit.date) == ("Quay Flat", "Nell Quarry", TODAY)
    assert site.landlord_profile == "gb-scotland-private"
    assert len(items) == 12
    assert {item.appliance_class.value for item in items.values()} == {"1", "2"}
    assert {tag for tag, item in items.items() if item.last_outcome is Outcome.FAIL} == set(FAILED)
    for tag, item in items.items():
        (inspection,) = effective_inspections(register, item.uid)
        results = {each.check_name: each.finding for each in findings_of(register, inspection.uid)}
        if tag in FAILED:
            assert results[FAILED[tag]] == "fail"
            assert results["functional"] == "not-done"
            assert item.state is ServiceState.WITHDRAWN
            assert item.next_test is None or item.next_test <= TODAY
        else:
            assert set(results.values()) == {"pass"}
            assert item.last_outcome is Outcome.PASS
            assert item.state is ServiceState.IN_SERVICE


def check_labels(register: Register, file: Path) -> None:
    (page,) = pypdfium2.PdfDocument(file)
    codes = zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil())
    read = {found.appliance.tag for code in codes for found in find_items(register, code.text, today=TODAY)}
    assert read == set(items_of(register))
    text = page.get_textpage().get_text_bounded()
    assert text.count("PASS") == 10
    assert text.count("DO NOT USE") == 2
    for tag in items_of(register):
        assert tag in text


def check_report(file: Path) -> None:
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(file).pages)
    flat = re.sub(r"\s+", " ", text)
    for words in (
        "Quay Flat",
        "Nell Quarry",
        "Flat 3, Quay House",
        "Ida Fenn",
        "Fenn & Marsh",
        "24 Nov 2026",
        "77-1",
        "cord cut",
    ):
        assert words in flat
    for tag in [f"QF-{number:03}" for number in range(1, 13)]:
        assert tag in flat
    assert "0.92" in flat
    assert "0.1 + 26.0 mΩ/m × 0 m = 0.1 Ω; assumed: the cord is 0.75 mm² × 0.8 m" in flat
    assert "assumed, not read from the item: cord size, cord length" in flat


def keys_of(lines: Iterable[Walked]) -> int:
    return sum(len(line.keys) for line in lines)


def test_the_script_inspects_as_many_items_as_it_adds() -> None:
    assert keys_of((*KITCHEN, *LIVING_ROOM)) == 12
