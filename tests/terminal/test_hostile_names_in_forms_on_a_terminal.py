"""Two hundred hostile names in forms, answers, fields, under the mouse and in passing messages, on a real terminal."""

from itertools import pairwise
from pathlib import Path
from typing import Final

from appreg.core.records.work_records import BenchDraft
from appreg.core.values.text import is_hidden, shown
from appreg.register.opening.register_file import open_register
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId
from tests.hostile_names import HOSTILE_NAMES
from tests.terminal.hostile_register import GATHERED, PLAIN, HostileRegister, fill_register
from tests.terminal.hostile_screens import (
    NARROW_ITEMS,
    NARROW_SITES,
    WHO,
    assert_listed,
    each_part,
    every,
    places_in_lists,
    walking,
    walking_on,
)
from tests.terminal.hostile_walk import Walk, probe, shows, squeezed

ANSWERS: Final = ("choose one",)
RECORDS: Final = {
    "clients": "Client ·",
    "people": "Person ·",
    "instruments": "Instrument ·",
    "categories": "Category ·",
}
OPENED: Final = 12
"""From one part of the names to the next, so many answers further down is the one whose form is opened."""
APART: Final = 12
IN_ONE_FORM: Final = 6
"""Texts that the form of an item holds, each of the next name."""
SURELY_WHOLE: Final = 40
"""Characters that a field shows to the end."""
TOASTS: Final = 8
"""Messages that have room above one another."""
TOASTED: Final = 8
"""Characters of a name that a narrow message does not break."""


@each_part
def test_every_list_of_answers_shows_every_name_in_one_style(tmp_path: Path, part: int) -> None:
    with walking(tmp_path, part, columns=110, lines=60) as (walk, hostile):
        for records, place in RECORDS.items():
            walk.command(records, "Which", showing=["choose one"])
            cells = walk.list_pages(ANSWERS, ANSWERS)["choose one"]
            everything = "\n".join(squeezed(cell.text) for cell in cells)
            assert [name for name in hostile.names if squeezed(shown(name))[:40] not in everything] == [], records
            assert len({style for cell in cells if not cell.under_cursor for style in cell.styles}) == 1, records
            walk.to_first(ANSWERS)
            walk.to(place, *["down"] * (3 + OPENED * part), "enter")
            walk.to("Sites", "escape")
        walk.to("Items ·", "f8", showing=["tag"])
        for key, place in (("s", "Items of which"), ("g", "Move one item"), ("k", "Set the category")):
            walk.to(place, key, showing=["choose one"])
            walk.list_pages(ANSWERS, ANSWERS)
            walk.to("Items ·", "escape")
        show_places_and_visits(walk, hostile)


def show_places_and_visits(walk: Walk, hostile: HostileRegister) -> None:
    """The rooms of the gathering place, and the forms of a room, a visit and its report."""
    walk.to("Sites", "f2")
    walk.narrow(NARROW_SITES, GATHERED, counts=r"1 of \d+")
    walk.to("Site ·", "e", showing=["Guarded acceptance"])
    walk.to("Sites", "escape")
    walk.to("Site ·", "enter", showing=["in service"])
    walk.command("locations", "Which location", showing=["choose one"])
    assert_listed(walk, hostile.names, ANSWERS, "choose one")
    walk.to_first(ANSWERS)
    walk.to("Location ·", "enter", showing=["Environment"])
    walk.to("Site ·", "escape")
    walk.to("Visits", "y", showing=["person"])
    walk.to("Visit", *["down"] * 9, "e", showing=["Instrument", "esc leave"])
    walk.to("Visits", "escape")
    walk.to("Print report", "p", showing=["The report of the visit"])


@each_part
def test_what_stands_in_the_fields_of_an_item_is_read_there(tmp_path: Path, part: int) -> None:
    with walking(tmp_path, part, columns=110, lines=60) as (walk, hostile):
        _, items = places_in_lists(hostile)
        walk.to("Items ·", "f8", showing=["next test"])
        walk.to_first(NARROW_ITEMS)
        for keys in every(APART, items):
            walk.to("Item ·", *keys, "enter", showing=["functional"])
            walk.to("Item ·", "e", showing=["Moulded plug"])
            walk.keep("form")
            walk.to("Item ·", "escape", showing=["functional"])
            walk.to("Items ·", "escape")
        walk.to("Withdraw ·", "w", showing=["must not be used"])
        opened = [name for at, name in enumerate(hostile.names) if at % APART < IN_ONE_FORM]
        walk.assert_all_seen("form", [n for n in opened if not any(map(is_hidden, n)) and len(n) < SURELY_WHOLE])


@each_part
def test_pasted_and_clicked_names_and_those_said_in_passing_are_only_text(tmp_path: Path, part: int) -> None:
    with walking(tmp_path, part, columns=110, lines=36) as (walk, hostile):
        for key, place in (("f5", "Rule book"), ("f9", "Settings"), ("f1", "Help")):
            walk.to(place, key)
        walk.to("Settings", "escape")
        walk.to("Sites", "f2")
        say_in_passing(walk)
        for name in hostile.names:
            if "@click" in name or "link=" in name:
                click_on(walk, name)
        for name in hostile.names:  # the keyboard is in a list, which takes nothing
            walk.paste(name)
        walk.to("Find", "ctrl+g", showing=["scan a label"])
        paste_all(walk, hostile.names)
        walk.to("Sites", "escape")
        walk.narrow(NARROW_SITES, GATHERED, counts=r"1 of \d+")
        walk.to("Walk-round", "a", showing=["what is it?"])
        paste_all(walk, hostile.names)
        walk.to("Walk-round", showing=["what is it?"])


def paste_all(walk: Walk, names: tuple[str, ...]) -> None:
    """Paste one name after the other into the field that has the keyboard, and empty it each time."""
    for name in names:
        walk.paste(name)
        walk.session.press("ctrl+u")
        walk.session.settle(quiet=0.01)
    walk.session.settle(quiet=0.3)


def say_in_passing(walk: Walk) -> None:
    """A visit to a site that has no items is refused in a message that names the site."""
    walk.narrow(NARROW_SITES, "bare", counts=r"\d+ of \d+")
    walk.to_first(NARROW_SITES)
    for at, cell in enumerate(walk.cells(NARROW_SITES, "site")[::3][:TOASTS]):
        wanted = squeezed(cell.text[:TOASTED] if len(cell.text) > TOASTED else f"{cell.text} has no items yet")
        walk.session.press(*(["down"] * 3 if at else []), "v")
        walk.until(lambda _, wanted=wanted: wanted in toasts(walk))  # type: ignore[misc]


def toasts(walk: Walk) -> str:
    """The messages below the line of keys."""
    return squeezed(walk.session.picture().rpartition("F1 help")[2])


def click_on(walk: Walk, name: str) -> None:
    """Click on a name below the list of sites, and above the items of its own site and of the first that bears it."""
    walk.to("Sites", "f2")
    walk.narrow(NARROW_SITES, name, counts=r"\d+ of \d+")
    walk.to_first(NARROW_SITES)
    own = next(at for at, cell in enumerate(walk.cells(NARROW_SITES, "site")) if shows(cell.text, name))
    for place in sorted({0, own}):
        walk.to_first(NARROW_SITES)
        walk.session.press(*["down"] * place)
        if place == own:  # the line below the list begins with the name of the site under the cursor
            walk.until(lambda picture: squeezed(below_list(picture)).startswith(squeezed(shown(name))[:18]))
            keys = next(at for at, line in enumerate(walk.session.picture().split("\n")) if "F1 help" in line)
            click_all(walk, name, below=keys - 3)
            walk.to("Sites")
        walk.to("Site ·", "enter", showing=["in service"])
        click_all(walk, name, above=5)
        walk.to("Site ·")
        walk.to("Sites", "escape")


def below_list(picture: str) -> str:
    """The line between the list and the keys."""
    lines = picture.split("\n")
    return next(above for above, line in pairwise(lines) if "F1 help" in line)


def click_all(walk: Walk, name: str, *, above: int = 36, below: int = -1) -> None:
    """Click on every place of a name between some lines of the screen."""
    places = [each for each in walk.places_of(shown(name)[:18]) if below < each[0] < above]
    assert places
    for row, column in places:
        walk.click(row, column + 2)
    walk.session.settle(quiet=0.2)


def test_benches_left_half_filled_are_offered_as_text(tmp_path: Path) -> None:
    hostile = fill_register(tmp_path / "register.db", HOSTILE_NAMES)
    with open_register(hostile.path) as register, register.change(WHO) as change:
        for uid, name in zip(hostile.items, (PLAIN, *hostile.names), strict=True):
            body = BenchEntries(typed={LineId("earth-continuity"): name}, remarks={LineId("visual"): name}).to_json()
            change.put(BenchDraft(uid=change.new_uid(), appliance=uid, visit=hostile.visit, saved_at=name, body=body))
    with walking_on(hostile, columns=110, lines=60, first="Left half-filled", titles=ANSWERS) as walk:
        cells = walk.list_pages(ANSWERS, ANSWERS)["choose one"]
        if len({cell.text for cell in cells}) <= len(hostile.names):
            # A page drawn while it was read is read once more.
            cells += walk.list_pages(ANSWERS, ANSWERS)["choose one"]
        everything = "\n".join(squeezed(cell.text) for cell in cells)
        assert [name for name in hostile.names if squeezed(shown(name))[:40] not in everything] == []
        walk.to_first(ANSWERS)
        walk.to("Bench ·", "enter", showing=["unreadable"])
        for _ in range(20):
            before = walk.session.picture()
            walk.session.press("pageup")
            walk.until(lambda picture, before=before: picture != before)  # type: ignore[misc]


def test_only_what_can_be_told_apart_is_looked_for() -> None:
    assert probe("ab") == ""
    assert probe("\x1b[2J") == "␛[2J"
