"""Rows made ready once stand on the screen as those that the toolkit makes anew each time."""

from random import Random
from typing import Any

from textual.app import App, ComposeResult
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget
from textual.widgets import Static

from appreg.ui.widgets.drawn_rows import DrawnRows

WIDTH, HEIGHT = 24, 6
STYLES = ("", "bold", "$success", "bold $error", "$warning on $panel", "reverse")
LETTERS = "ab ─█√Ωü漢"
ROUNDS = 40


class Drawn(DrawnRows):
    """Shows what it is given."""

    given: reactive[list[Content]] = reactive(list, always_update=True)
    asked = 0

    def rows(self) -> list[Content]:
        """As given."""
        self.asked += 1
        return self.given


class BothApp(App[None]):
    """The same rows, made ready once and made anew, one below the other."""

    CSS = f"Drawn, Static {{ width: {WIDTH}; height: {HEIGHT}; background: $panel; color: $foreground; }}"

    def compose(self) -> ComposeResult:
        """Both."""
        yield Drawn()
        yield Static(markup=False)

    def show(self, rows: list[Content]) -> None:
        """Show some rows in both."""
        self.query_one(Drawn).given = rows
        self.query_one(Static).update(Content("\n").join(rows))

    def assert_alike(self) -> None:
        """Both show the same."""
        assert cells_of(self.query_one(Drawn)) == cells_of(self.query_one(Static))


def row_of(chance: Random) -> Content:
    """A row in some styles, never wider than there is room for."""
    parts = [
        ("".join(chance.choices(LETTERS, k=chance.randint(0, 6))), chance.choice(STYLES))
        for _ in range(chance.randint(0, 3))
    ]
    return Content.assemble(*parts).truncate(WIDTH)


def cells_of(widget: Widget) -> list[list[Any]]:
    """Each line's letters, with what is seen of their styles: of a blank its ground."""
    lines = []
    for strip in widget.render_lines(widget.size.region):
        cells: list[Any] = []
        for text, style, _ in strip.adjust_cell_length(WIDTH):
            reverse = style and style.reverse
            ground = style and (style.color if reverse else style.bgcolor)
            ink = style and (style.bgcolor if reverse else style.color, bool(style.bold))
            cells += [(letter, ground, None if letter == " " else ink) for letter in text]
        lines.append(cells)
    return lines


async def test_rows_look_as_those_of_the_toolkit_whatever_changes() -> None:
    chance = Random(5)
    app = BothApp()
    async with app.run_test(size=(40, 20)) as pilot:
        rows = [row_of(chance) for _ in range(HEIGHT)]
        for _ in range(ROUNDS):
            rows = [row if chance.random() < 1 / 2 else row_of(chance) for row in rows][: chance.randint(0, HEIGHT)]
            rows += [row_of(chance) for _ in range(chance.randint(0, HEIGHT - len(rows)))]
            app.show(rows)
            await pilot.pause()
            app.assert_alike()
        app.show([row_of(chance) for _ in range(HEIGHT)])
        await pilot.pause()
        before = cells_of(app.query_one(Drawn))
        app.theme = "textual-light"
        await pilot.pause()
        assert cells_of(app.query_one(Drawn)) != before
        app.assert_alike()
        for widget in (app.query_one(Drawn), app.query_one(Static)):
            widget.styles.background = "red"
        await pilot.pause()
        app.assert_alike()


async def test_rows_are_asked_for_once_a_change() -> None:
    app = BothApp()
    async with app.run_test(size=(40, 20)) as pilot:
        drawn = app.query_one(Drawn)
        app.show([Content("one"), Content("two")])
        await pilot.pause()
        asked = drawn.asked
        cells_of(drawn)
        drawn.render_line(0)
        assert drawn.asked == asked
        app.show([Content("one"), Content("three")])
        await pilot.pause()
        cells_of(drawn)
        assert drawn.asked == asked + 1


async def test_more_rows_than_before_have_their_own_when_there_is_room_for_more() -> None:
    app = BothApp()
    async with app.run_test(size=(40, 20)) as pilot:
        app.show([Content(str(number)) for number in range(HEIGHT)])
        drawn = app.query_one(Drawn)
        drawn.styles.height = HEIGHT + 2
        await pilot.pause()
        assert ["".join(cell[0] for cell in line).strip() for line in cells_of(drawn)][:HEIGHT] == list("012345")
