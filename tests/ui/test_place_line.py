"""The place line keeps both of its ends in sight, however long they are."""

import pytest
from textual.app import App, ComposeResult

from appreg.ui.shell.place_line import PlaceLine
from appreg.ui.shell.themes import DARK, THEMES

WIDTH = 78


class PlaceApp(App[None]):
    def __init__(self) -> None:
        super().__init__()
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = DARK

    def compose(self) -> ComposeResult:
        yield PlaceLine()


@pytest.mark.parametrize(
    ("left", "right"), [("Site · Harbour Row", "R" * 300), ("L" * 300, "item 7 of 12"), ("L" * 300, "R" * 300)]
)
async def test_neither_end_pushes_the_other_out(left: str, right: str) -> None:
    async with PlaceApp().run_test(size=(WIDTH + 2, 5)) as pilot:
        line = pilot.app.query_one(PlaceLine)
        line.left, line.right = left, right
        await pilot.pause()
        text = line.render().plain
    assert len(text) == WIDTH
    assert text.startswith(left[:18])
    assert text.rstrip("…").endswith(right[: WIDTH // 2 - 1][-12:])
