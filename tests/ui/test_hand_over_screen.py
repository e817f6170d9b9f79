"""A site handed over by keys: asked for in the list of commands, written where one says, and told."""

from collections.abc import Callable
from pathlib import Path

from textual.widgets import Input

from appreg.core.records.kept_records import Appliance, Site
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.keeping.hand_over import hand_over
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.merging.merge_screen import MergeScreen
from tests.ui.test_sites_screen import press, screen_text

Apps = Callable[[], AppregApp]
WORDS = "four words of it"


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


async def test_an_encrypted_file_is_taken_in_once_its_passphrase_was_typed(
    app_factory: Apps, built_register: Register, tmp_path: Path
) -> None:
    out = tmp_path / "site.age"
    hand_over(built_register, "Ann", built_register.find(Site)[0].uid, out, passphrase=WORDS)
    app = app_factory()
    async with app.run_test(size=(140, 30), notifications=True) as pilot:
        await press(pilot)
        await press(pilot, "ctrl+p", *"take in another", "enter")
        pilot.app.screen.query_one(Input).value = str(out)
        await press(pilot, "ctrl+s")
        assert "is encrypted" in screen_text(app)
        pilot.app.screen.query_one(Input).value = WORDS
        await press(pilot, "ctrl+s")
        assert isinstance(app.screen, MergeScreen)
