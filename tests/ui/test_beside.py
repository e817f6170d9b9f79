"""What stands beside a list takes one line each, whatever letters it holds, and counts what has no room."""

from textual.app import App, ComposeResult

from appreg.ui.widgets.beside import Beside, BesideLine


class _OnlyBeside(App[None]):
    CSS = "Beside { display: block; width: 20; }"

    def compose(self) -> ComposeResult:
        yield Beside()


async def test_wide_letters_take_no_second_line_and_what_has_no_room_is_counted() -> None:
    app = _OnlyBeside()
    lines = [BesideLine("漢字" * 12), BesideLine("x" * 60), *(BesideLine(f"line {number}") for number in range(9))]
    async with app.run_test(size=(40, 6)) as pilot:
        app.query_one(Beside).tell("A heading that is too long", lines)
        await pilot.pause()
        drawn = [strip.text.removeprefix("│ ").rstrip() for strip in app.screen._compositor.render_strips()]
    assert drawn == ["A heading that i…", "漢字漢字漢字漢字…", "xxxxxxxxxxxxxxxx…", "line 0", "line 1", "and 7 more"]
