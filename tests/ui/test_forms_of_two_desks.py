"""A form that was opened before another desk changed the same record."""

from collections.abc import Callable

from msgspec.structs import replace
from textual.pilot import Pilot
from textual.widgets import Input

from appreg.core.records.kept_records import Appliance, Site
from appreg.tasks.records.change_record import change_record
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.appliance_form import ApplianceForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from tests.ui.list_register import TODAY, WHO, tagged

Apps = Callable[[], AppregApp]


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def test_a_field_changed_at_another_desk_is_shown_with_both_values_and_the_form_stays_as_typed(
    app_factory: Apps,
) -> None:
    app = app_factory()
    item = tagged(app.register, "KL-002")
    came_back: list[object] = []
    async with app.run_test(size=(100, 60)) as pilot:
        form = ApplianceForm(Desk(app.register, WHO, TODAY), app.register.get(Site, item.site), item)
        app.push_screen(FormScreen(form), came_back.append)
        await pilot.pause()
        with app.register.reopen() as other:
            change_record(other, "JB", replace(item, serial="S-77", make="Theirs"))
        app.screen.query_one("#serial", Input).value = "S-99"
        await _save(pilot)
        assert isinstance(app.screen, FormScreen)
        shown = " ".join(screen_text(app).split())
        assert "another desk changed it meanwhile to “S-77” (JB, " in shown
        assert "here stands “S-99”" in shown
        assert "Save again to keep what you typed, or leave to keep theirs." in shown
        assert app.screen.query_one("#serial", Input).value == "S-99"
        assert tagged(app.register, "KL-002").serial == "S-77"
        await _save(pilot)
    (kept,) = came_back
    assert isinstance(kept, Appliance)
    assert (kept.serial, kept.make) == ("S-99", "Theirs")


async def _save(pilot: Pilot[None]) -> None:
    await pilot.press("ctrl+s")
    for _ in range(2):
        await pilot.pause()
