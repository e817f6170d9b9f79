"""Messages drafted from Due: the same as `appreg remind` writes, and what is there already stays until a person says otherwise."""

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from appreg.ui.screens.due.remind_form import RemindForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import TypedForm
from appreg.ui.screens.forms.form_screen import FormScreen
from tests.ui.list_register import TODAY

Apps = Callable[[], AppregApp]


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(
        *({"/": "slash", "-": "minus", "_": "underscore", ".": "full_stop"}.get(key, key) for key in keys)
    )
    for _ in range(3):
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def until(pilot: Pilot[None], app: AppregApp, words: str) -> None:
    for _ in range(100):
        if words in screen_text(app):
            return
        await pilot.pause(0.1)
    pytest.fail(f"{words!r} never stood on the screen:\n{screen_text(app)}")


async def remind(pilot: Pilot[None], folder: Path, days: str) -> None:
    await press(pilot, "M")
    assert isinstance(pilot.app.screen, FormScreen)
    await press(pilot, "ctrl+a", "backspace", *days, "tab", *"ida@firm.example", "tab")
    await press(pilot, "ctrl+a", "backspace", *str(folder), "ctrl+s")


async def test_what_is_due_is_drafted_as_messages_and_none_is_lost_unasked(app_factory: Apps, tmp_path: Path) -> None:
    app, folder = app_factory(), tmp_path / "mail"
    async with app.run_test(size=(200, 40), notifications=True) as pilot:
        await press(pilot, "f3")
        await remind(pilot, folder, "9999")
        await until(pilot, app, "nothing is sent")
        drafts = sorted(folder.glob("*.eml"))
        assert drafts
        assert all(b"From: ida@firm.example" in each.read_bytes() for each in drafts)
        drafts[0].write_bytes(b"mine")
        await remind(pilot, folder, "9999")
        await until(pilot, app, "holds messages of these names already")
        await press(pilot, "enter")
        assert drafts[0].read_bytes() == b"mine"
        await remind(pilot, folder, "9999")
        await until(pilot, app, "holds messages of these names already")
        await press(pilot, "down", "enter")
        for _ in range(50):
            if drafts[0].read_bytes() != b"mine":
                break
            await pilot.pause(0.1)
        assert drafts[0].read_bytes() != b"mine"


def test_what_is_typed_wrongly_is_refused_beside_its_field(built_register: Register, tmp_path: Path) -> None:
    form = RemindForm(Desk(built_register, "Ida", TODAY), of="all sites")
    good = {"within": "60", "sender": "", "folder": str(tmp_path / "mail")}
    for name, wrong in (
        ("within", "soon"),
        ("within", ""),
        ("sender", "[red]"),
        ("folder", "/nowhere/there"),
        ("folder", ""),
    ):
        typed = TypedForm({**good, name: wrong}, {each: each.title() for each in good}, frozenset(("within", "folder")))
        with pytest.raises(InputRefused) as refused:
            form.keep(typed)
        assert refused.value.field == name
    assert not (tmp_path / "mail").exists()
