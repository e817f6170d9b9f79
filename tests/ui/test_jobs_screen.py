"""A job is made of visits by keys, and its report written from the list of jobs."""

from collections.abc import Callable
from pathlib import Path

from textual.pilot import Pilot

from appreg.core.records.job_records import Firm, Job
from appreg.core.records.kept_records import Visit
from appreg.ui.app import AppregApp
from appreg.ui.screens.jobs.jobs_screen import JobsScreen
from tests.ui.test_issued_screen import press, screen_text

Apps = Callable[[], AppregApp]


async def typed(pilot: Pilot[None], text: str) -> None:
    await press(pilot, *text)


async def test_visits_are_put_in_a_job_and_the_job_is_reported(app_factory: Apps, tmp_path: Path) -> None:
    app, out = app_factory(), tmp_path / "job.pdf"
    async with app.run_test(size=(140, 30), notifications=True) as pilot:
        await press(pilot, "down", "y", "o", "enter")
        assert "New job" in screen_text(app)
        await typed(pilot, "[red]7")
        await press(pilot, "ctrl+s")
        (job,) = app.register.find(Job)
        assert job.name == "[red]7"
        (visit,) = app.register.find(Visit, job=job.uid)
        assert visit.site == job.site
        await press(pilot, "escape")
        await app.run_action("jobs", default_namespace=app.screen)
        await press(pilot)
        assert isinstance(app.screen, JobsScreen)
        assert "[red]7" in screen_text(app)
        await press(pilot, "enter")
        assert "Job [red]7" in screen_text(app)
        await press(pilot, "tab", "ctrl+a", "backspace", "a", "l", "l", "ctrl+s")
        assert len(app.register.find(Visit, job=job.uid)) == len(app.register.find(Visit, site=job.site))
        await press(pilot, "p", "enter", "enter")
        await press(pilot, "ctrl+a", "backspace", *str(out), "enter")
        for _ in range(100):
            if out.exists():
                break
            await pilot.pause(0.1)
        assert out.read_bytes().startswith(b"%PDF")


async def test_the_firm_is_kept_from_the_palette(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(120, 30)) as pilot:
        await app.run_action("own_firm", default_namespace=app.screen)
        await typed(pilot, "Moss")
        await press(pilot, "ctrl+s")
        await app.run_action("own_firm", default_namespace=app.screen)
        await press(pilot, "tab", "x", "ctrl+s")
        assert [(each.name, each.address) for each in app.register.find(Firm)] == [("Moss", "x")]
