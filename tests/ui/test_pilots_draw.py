"""What pilots put off until they wait is drawn then: no test passes over what cannot be drawn."""

from collections.abc import Callable

import pytest
from textual.strip import Strip

from appreg.ui.app import AppregApp
from appreg.ui.lists.virtual_rows import VirtualRows
from tests.ui import quick_keys


class _CannotBeDrawn(Exception):
    """Raised where a list is drawn."""


def _fail(_list: VirtualRows, _line: int) -> Strip:
    raise _CannotBeDrawn


@pytest.mark.parametrize("quick", [False, True])
async def test_where_the_pilot_waits_what_cannot_be_drawn_is_noticed(
    app_factory: Callable[[], AppregApp], monkeypatch: pytest.MonkeyPatch, quick: bool
) -> None:
    async with app_factory().run_test() as pilot:
        await pilot.press("f8")
        with monkeypatch.context() as broken:
            broken.setattr(VirtualRows, "render_line", _fail)
            with pytest.raises(_CannotBeDrawn):
                await (quick_keys.press(pilot, "down") if quick else pilot.press("down"))
