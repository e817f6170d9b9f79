"""Every cell that the screens draw can be read, and needs no glyph that a plain terminal font lacks."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from rich.color import Color as CellColour
from rich.segment import Segment
from rich.style import Style
from textual.pilot import Pilot

from appreg.register.opening.register_file import Register
from appreg.tasks.desk.keep_settings import Settings
from appreg.ui.app import AppregApp
from tests.ui.bench_register import KETTLE, LAMP, RCD_LEAD, BenchTable, lay_table
from tests.ui.list_register import TODAY, WHO
from tests.ui.quick_keys import press, rest
from tests.ui.test_colour_vision import contrast

LOOKS: Final = tuple(
    Settings(theme=theme, plain_colours=plain) for theme in ("light", "dark") for plain in (True, False)
)
"""Every look there is; a walk starts and goes on in the last."""

TEXT_LEAST: Final = 4.5
"""WCAG 2.1, success criterion 1.4.3."""
DRAWN_LEAST: Final = 3.0
"""WCAG 2.1, success criterion 1.4.11, for what is drawn rather than written."""

TRADE: Final = "Ωµμ°·²³½×÷±−≤≥≈√Δ–—‘’“”…•"
ARROWS: Final = "←↑→↓►◄▲▼■"
PICTURES: Final = "".join(map(chr, (*range(0x2500, 0x2580), *range(0x2580, 0x25A0))))
"""Box Drawing and Block Elements."""
ALLOWED: Final = frozenset("".join(map(chr, (*range(0x20, 0x7F), *range(0xA1, 0x180)))) + TRADE + ARROWS + PICTURES)
QUIET_TRACKS: Final = frozenset("░·")
"""The empty part of a bar and the places without anything: what matters is beside them."""

Scene = tuple[str, ...]

WALK: Final[tuple[Scene, ...]] = (
    (),
    ("down",),
    ("enter",),
    ("down", "down", "space", "space"),
    ("w", "tab", "enter", "ctrl+s"),
    ("escape", "escape", "enter"),
    ("f2", "n", "ctrl+s"),
    ("escape", "a", *"kettle"),
    ("enter", *"zzz"),
    ("escape", "f1"),
    ("escape", "ctrl+p", *"du"),
    ("escape", "ctrl+g", *"kiln"),
    ("down", "escape", "f3", "space", "t"),
    ("f4",),
    ("down", "tab", "right", "right"),
    ("f5", "down"),
    ("f8", "slash", *"lamp"),
    ("enter", "enter"),
    ("f9", "down", "down"),
    ("enter", "ctrl+u", *"999", "enter"),
    ("escape", "escape", "slash", *"repeat", "enter", "enter", "ctrl+z"),
)
BENCH: Final[tuple[Scene, ...]] = (
    (),
    ("right", "x"),
    (*"cut", "enter"),
    ("x", "space"),
    ("0", "full_stop", "0", "8", "enter"),
    ("greater_than_sign", *"299"),
    ("question_mark",),
    ("escape", "enter", "space"),
    ("pagedown",),
    ("space", *"9", "enter"),
    ("ctrl+s",),
    ("pagedown", "pagedown", "space", "0"),
)


async def check_walk(app: AppregApp, pilot: Pilot[None], scenes: tuple[Scene, ...]) -> None:
    """Go through the scenes, and look at each in every look."""
    for keys in scenes:
        await press(pilot, *keys)
        for look in LOOKS:
            app.change_settings(look)
            await rest(pilot)
            check((keys, look), [segment for strip in app.screen._compositor.render_strips() for segment in strip])


def colours(style: Style) -> tuple[tuple[int, int, int], tuple[int, int, int]] | None:
    if style.color is None or style.bgcolor is None or style.color.is_default or style.bgcolor.is_default:
        return None
    ink, ground = _rgb(style.color), _rgb(style.bgcolor)
    return (ground, ink) if style.reverse else (ink, ground)


def _rgb(colour: CellColour) -> tuple[int, int, int]:
    red, green, blue = colour.get_truecolor()
    return red, green, blue


def unreadable(segments: list[Segment]) -> Iterator[str]:
    for segment in segments:
        drawn = set(segment.text) - {" ", "\n"} - QUIET_TRACKS
        pair = None if segment.style is None else colours(segment.style)
        if not drawn:
            continue
        if pair is None:
            yield f"no colours: {segment.text!r}"
            continue
        least = DRAWN_LEAST if drawn <= {*PICTURES, *ARROWS} else TEXT_LEAST
        if contrast(*pair) < least:
            yield f"{contrast(*pair):.2f}: {segment.text!r} {pair}"


def strange(segments: list[Segment]) -> set[str]:
    return {character for segment in segments for character in segment.text} - ALLOWED - {"\n"}


def check(where: object, segments: list[Segment]) -> None:
    assert len(segments) > 10, where
    assert not list(unreadable(segments)), where
    assert not strange(segments), where


async def test_every_list_and_form_can_be_read(built_register: Register) -> None:
    app = AppregApp(built_register, today=TODAY, who=WHO, settings=LOOKS[-1])
    async with app.run_test(size=(120, 40), notifications=True) as pilot:
        await check_walk(app, pilot, WALK)


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    items = ("Desk lamp", LAMP), ("Kettle", KETTLE), ("Toaster", KETTLE), ("Lead", RCD_LEAD)
    return lay_table(tmp_path / "bench.db", *items, accuracy="")


async def test_the_bench_can_be_read_in_every_state(table: BenchTable) -> None:
    app = AppregApp(table.register, today=TODAY, who=WHO, settings=LOOKS[-1])
    async with app.run_test(size=(120, 40), notifications=True) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(1))
        await check_walk(app, pilot, BENCH)


async def test_every_look_is_drawn_in_colours_of_its_own(built_register: Register) -> None:
    app = AppregApp(built_register, today=TODAY, who=WHO, settings=LOOKS[-1])
    grounds = []
    async with app.run_test(size=(80, 24)) as pilot:
        for look in LOOKS:
            app.change_settings(look)
            await pilot.pause()
            segments = [segment for strip in app.screen._compositor.render_strips() for segment in strip]
            grounds.append({str(segment.style) for segment in segments})
    assert all(one != other for place, one in enumerate(grounds) for other in grounds[:place])


def test_what_cannot_be_read_is_noticed() -> None:
    bad = [
        Segment("x", Style(color="#777777", bgcolor="#666666")),
        Segment("─", Style(color="#222222", bgcolor="#111111")),
    ]
    assert len(list(unreadable(bad))) == 2
    assert strange([Segment("✔ ok")]) == {"✔"}
