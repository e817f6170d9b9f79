"""Two hundred hostile names on every list and page on a real terminal: seen as they stand, and nothing else happens."""

from pathlib import Path
from typing import Final

import pyte

from appreg.core.values.text import shown
from tests.terminal.hostile_register import GATHERED, PLAIN, HostileRegister
from tests.terminal.hostile_screens import (
    ITEMS,
    NARROW_ITEMS,
    NARROW_SITES,
    SITES,
    assert_listed,
    each_part,
    every,
    places_in_lists,
    walking,
)
from tests.terminal.hostile_walk import Walk, moves, shows
from tests.terminal_session import JoiningScreen

DUE: Final = ("due", "what", "tag", "item", "site", "days", "because", "state", "location")
TRAY: Final = ("tag", "label", "item", "site", "inspected")
VISITS: Final = ("date", "person", "done", "failed", "instrument", "fixed wiring", "job", "notes")
WALKED: Final = ("location", "tag", "item", "class", "type", "power")
BEFORE_USE: Final = ("state", "what", "when", "site", "location", "because")
GROUPS: Final = ("group", "overdue", "on items", "soon", "never")
EVIDENCE: Final = ("alike", "environment", "what", "now")
PLAN: Final = ("visit", "crew day", "min", "insp", "early", "late", "site")
ITEM_READY: Final = "functional"
SITE_READY: Final = "in service|withdrawn ·|no item"


@each_part
def test_every_list_shows_every_name_in_one_style(tmp_path: Path, part: int) -> None:
    with walking(tmp_path, part, columns=250, lines=118) as (walk, hostile):
        names = hostile.names
        assert_listed(walk, names, SITES, "site", "client")
        walk.to("Items ·", "f8", showing=["next look"])
        assert_listed(walk, names, ITEMS, "tag", "item", "site", "location")
        walk.to("Due ·", "f3", showing=["because"])
        assert_listed(walk, names, DUE, "item", "site", "location")
        walk.to("Label tray", "f4", showing=["inspected"])
        assert_listed(walk, names, TRAY, "item", "site")
        show_work_to_come(walk, hostile)
        walk.to("Sites", "f2")
        walk.narrow(SITES, GATHERED, counts=r"1 of \d+")
        walk.to("Visits", "y", showing=["fixed wiring"])
        assert_listed(walk, names, VISITS, "person", "fixed wiring", "notes")
        walk.to("Sites", "escape")
        walk.to("Walk-round", "a", showing=["what is it?"])
        walk.until(lambda _: len(walk.cells(WALKED, "item")) > len(names))
        for column in WALKED[:3]:
            cells = walk.cells(WALKED, column)
            assert [name for name in names if not any(shows(cell.text, name) for cell in cells)] == [], column


def show_work_to_come(walk: Walk, hostile: HostileRegister) -> None:
    """What is due in groups, checked before use, weighed and planned."""
    walk.to("Due ·", "f3", showing=["because"])
    walk.to("Due · inspections by site", "v", showing=["late, 12 months"])
    assert_listed(walk, hostile.names, GROUPS, "group")
    walk.to("Due · all", "escape")
    walk.to("Before use", "u", showing=["user check"])
    assert_listed(walk, hostile.names, BEFORE_USE, "site", "location")
    walk.to("Evidence", "f7", showing=["too little", "0 suggestions"])
    assert_listed(walk, hostile.names, EVIDENCE, "alike")
    walk.to("Plan ·", "f6", showing=["crew day"])
    assert_listed(walk, hostile.names, PLAN, "site")
    walk.to_first(PLAN)
    walk.to("Visit planned", "enter", showing=["due"])
    walk.to("Plan ·", "escape")
    walk.to("What if", "w", showing=["as it is"])
    walk.to("Plan ·", "escape")


def test_a_terminal_that_knows_every_sequence_shows_the_same(tmp_path: Path) -> None:
    with walking(tmp_path, 0, columns=200, lines=40) as (walk, hostile):
        walk.to("Items ·", "f8", showing=["next look"])
        walk.session.settle(quiet=0.2)
        knowing = JoiningScreen(200, 40)
        pyte.ByteStream(knowing).feed(bytes(walk.session.raw))
        picture = [line.rstrip() for line in knowing.display]
        assert picture == walk.session.picture().split("\n")
        assert sum(shown(name) in "\n".join(picture) for name in hostile.names) > 10


@each_part
def test_every_page_shows_every_name_in_one_style(tmp_path: Path, part: int) -> None:
    with walking(tmp_path, part, columns=110, lines=34) as (walk, hostile):
        sites, items = places_in_lists(hostile)
        walk.to_first(NARROW_SITES)
        for keys in every(3, sites):
            walk.to("Site ·", *keys, "enter", showing=[SITE_READY])
            walk.keep("Site ·")
            walk.note("Site ·", hostile.names)
            walk.to("Sites", "escape")
        walk.to("Items ·", "f8", showing=["next test"])
        walk.to_first(NARROW_ITEMS)
        for keys in every(4, items):
            walk.to("Item ·", *keys, "enter", showing=[ITEM_READY])
            walk.keep("Item ·")
            walk.note("Item ·", hostile.names)
            walk.to("Items ·", "escape")
        show_the_bench(walk, hostile)
        for screen in ("Site ·", "Item ·", "Bench ·"):
            walk.assert_all_seen(screen, hostile.names)
            walk.assert_not_restyled(screen)


def show_the_bench(walk: Walk, hostile: HostileRegister) -> None:
    """Every gathered item on the bench of today's visit; then why, and the sum of the visit on which all were done."""
    walk.to("Sites", "f2")
    walk.narrow(NARROW_SITES, GATHERED, counts=r"1 of \d+")
    count = len(hostile.names) + 1
    walk.to("Bench ·", "v", showing=[f"item 1 of {count}", "look it over"])
    for place in range(1, count + 1):
        walk.keep("Bench ·")
        walk.note("Bench ·", [name for name in hostile.names if not moves(name)])
        if place < count:
            walk.to("Bench ·", "pagedown", showing=[f"item {place + 1} of {count}"])
    walk.to("Why ·", "?", showing=["basis"])
    walk.to("Bench ·", "escape")
    walk.to("Sites", "escape")
    walk.to("Visits", "y", showing=["person"])
    walk.to("Bench ·", "down", "enter", showing=["not yet inspected"])
    walk.to("Visits", "escape")
    walk.to("Sites", "escape")
    assert [cell.text for cell in walk.cells(NARROW_SITES, "site")] == [GATHERED]
    walk.narrow(NARROW_SITES, PLAIN, counts=r"\d+ of \d+")
    assert PLAIN in [cell.text for cell in walk.cells(NARROW_SITES, "site")]
