"""What becomes of a tag that no item has: it may be the tag of a new one, added from the screen behind."""

from typing import TYPE_CHECKING, Any

from appreg.ui.shell.command_screen import CommandScreen

if TYPE_CHECKING:
    from textual.screen import Screen

    from appreg.ui.app import AppregApp


def place_for_new(screen: "Screen[Any]") -> str:
    """Where a new item would be added from a screen; empty: nowhere."""
    return screen.place_for_new() if isinstance(screen, CommandScreen) else ""


def offer_new(app: "AppregApp", tag: str, behind: "Screen[Any]") -> None:
    """Ask whether the tag is that of a new item; the screen behind adds it."""
    from appreg.ui.screens.asking.pick_screen import Answer, PickScreen  # noqa: PLC0415 - only when asked

    new = Answer("add", f"a new item at {place_for_new(behind)} bears it: add it")
    other = Answer("find", "look for something else")

    def answered(key: str | None) -> None:
        if key == other.key:
            app.action_find(tag)
        elif key is not None and isinstance(behind, CommandScreen):
            behind.take_new(tag)

    app.push_screen(PickScreen(f"No item has the tag “{tag}”. What is it?", [new, other]), answered)
