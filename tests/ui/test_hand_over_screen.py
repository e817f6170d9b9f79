"""A site handed over by keys: asked for in the list of commands, written where one says, and told."""

from collections.abc import Callable
from pathlib import Path

from textual.widgets import Input

from appreg.core.records.kept_records import Appliance, Site
from appreg.register.opening.register_file import Register, open_register
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.form_screen import FormScreen
from tests.ui.test_sites_screen import press, screen_text

Apps = Callable[[], AppregApp]


async def test_a_site_is_handed_over_by_keys(app_factory: Apps, built_register: Register, tmp_path: Path) -> None:
    app = app_factory()
    out = tmp_path / "site.appreg"
    async with app.run_test(size=(140, 30), notifications=True) as pilot:
        await press(pilot)
        await press(pilot, "ctrl+p", *"hand over", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, FormScreen)
        file, passphrase = screen.query(Input)
        file.value, passphrase.value = str(out), "short"
        await press(pilot, "ctrl+s")
        assert "take 8 at least" in screen_text(app)
        assert not out.exists()
        passphrase.value = ""
        await press(pilot, "ctrl+s")
        await press(pilot)
        assert "Written" in screen_text(app)
    with open_register(out, create=False) as handed:
        (site,) = handed.find(Site)
        assert len(handed.find(Appliance)) == len(built_register.find(Appliance, site=site.uid))
