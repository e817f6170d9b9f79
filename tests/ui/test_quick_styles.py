"""What style sheets say, worked out once, is what Textual works out each time."""

from typing import Any

import pytest
from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode

from appreg.register.opening.register_file import Register
from appreg.tasks.desk.keep_settings import Settings
from tests.ui.list_register import app_on
from tests.ui.quick_keys import press, rest
from tests.ui.quick_styles import AS_PARSED, AS_TEXTUAL, FLAGS, QuickStyles

KEYS = (
    "down",
    "enter",
    "down",
    "space",
    "tab",
    "f2",
    "escape",
    "f1",
    "escape",
    "n",
    "tab",
    "escape",
    "f4",
    "f5",
    "ctrl+p",
)


def given(node: DOMNode) -> tuple[Any, ...]:
    parts = {name: part.get_rules() for name, part in node._component_styles.items()}
    return {**node.styles.base._rules}, parts, [getattr(node, flag) for flag in FLAGS]


async def test_each_widget_gets_what_textual_gives_it(
    built_register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    quick, compared = QuickStyles(), 0
    unlike: list[str] = []

    def apply_both(sheet: Stylesheet, node: DOMNode, *, animate: bool = False, cache: Any = None) -> None:
        nonlocal compared
        quick.apply(sheet, node, animate=animate)
        quickly = given(node)
        AS_TEXTUAL(sheet, node, animate=animate, cache=cache)
        if quickly != given(node):
            unlike.append(str(node))
        compared += 1

    monkeypatch.setattr(Stylesheet, "apply", apply_both)
    app = app_on(built_register)
    async with app.run_test(size=(100, 30)) as pilot:
        await press(pilot, *KEYS)
        app.change_settings(Settings(theme="light"))
        await rest(pilot)
        rules = app.stylesheet.rules
        AS_PARSED(app.stylesheet)
        assert rules == app.stylesheet.rules
        layouts = [id(each.styles.layout) for each in app.screen.walk_children() if each.styles.layout is not None]
        assert len({*layouts}) == len(layouts) > 1  # they remember what they have laid out
    assert not unlike
    assert compared > 1000
    assert quick.found > compared / 2
