"""A terminal without room says so; keys rest, what was typed waits, and all goes on when there is room again."""

from pathlib import Path

import pytest

from appreg.ui.app import AppregApp
from appreg.ui.shell.key_map import screen_classes
from tests.ui.bench_register import KETTLE, bench_of, lay_table


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def test_keys_rest_while_the_terminal_is_too_small(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE))
    app = table.app()
    async with app.run_test(size=(20, 5)) as pilot:
        await pilot.pause()
        assert "at least 40 × 10" in screen_text(app)
        await pilot.press("v")
        await pilot.resize_terminal(80, 24)
        assert "too small" not in screen_text(app)
        await pilot.press("v", "space", *"0.0")
        await pilot.resize_terminal(20, 5)
        await pilot.pause()
        assert "too small: 20 × 5" in screen_text(app)
        await pilot.press("9", "enter")
        await pilot.resize_terminal(80, 24)
        await pilot.press("8")
        await pilot.pause()
        assert list(bench_of(app).state.entries.typed.values()) == ["0.08"]


async def test_quitting_works_all_the_same(tmp_path: Path) -> None:
    app = lay_table(tmp_path / "register.db", ("Kettle", KETTLE)).app()
    async with app.run_test(size=(20, 5)) as pilot:
        await pilot.press("ctrl+q")
        await pilot.pause()
        assert app._exit


@pytest.mark.parametrize("screen", screen_classes(), ids=lambda screen: screen.__name__)
def test_every_screen_fits_the_smallest_terminal_that_people_use(screen: type) -> None:
    assert getattr(screen, "LEAST") <= (80, 24)  # noqa: B009 - the type is not known here
