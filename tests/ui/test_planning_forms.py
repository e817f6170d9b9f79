"""What plans stand on, by keys: the days of a site, crews, ways between districts, and who is responsible."""

from collections.abc import Callable

from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import Crew, DistrictTravel
from appreg.register.checking.checking import problems
from appreg.register.history.journal import history_of
from appreg.register.history.undoing import undo_change
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.site_page.site_page_screen import SitePageScreen
from tests.ui.list_register import WHO

Apps = Callable[[], AppregApp]
_NAMED = {
    " ": "space", ".": "full_stop", ",": "comma", "-": "minus", "(": "left_parenthesis", ")": "right_parenthesis",
    "[": "left_square_bracket", "]": "right_square_bracket", "=": "equals_sign", "+": "plus",
}  # fmt: skip


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*(_NAMED.get(key, key) for key in keys))
    for _ in range(3):
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def test_the_days_of_a_site_are_changed_from_its_page_and_come_back_as_they_were_typed(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "enter")
        assert isinstance(app.screen, SitePageScreen)
        await press(pilot, "ctrl+p", *"days of visits", "enter")
        assert isinstance(app.screen, FormScreen)
        await press(pilot, *"tue, thu", "tab", "tab", *"24.12.2026..3.1.2027 (shut [red])", "tab", *"15.2.2027", "tab")
        await press(pilot, *"=North", "tab", "ctrl+u", *"25", "tab", "ctrl+u", *"20 min", "enter")
        assert isinstance(app.screen, SitePageScreen)
        await press(pilot, "ctrl+p", *"days of visits", "enter")
        assert "Tue, Thu" in screen_text(app)
        assert "24 Dec 2026..03 Jan 2027 (shut [red])" in screen_text(app)
        assert "Minutes set-up" in screen_text(app)  # all of it on 24 lines
        await press(pilot, "ctrl+s")
        site = next(each for each in app.register.find(Site) if each.district)
        assert (site.access_days, site.closures, site.preferred) == (
            "FREQ=WEEKLY;BYDAY=TU,TH",
            ("2026-12-24..2027-01-03 shut [red]",),
            ("2027-02-15",),
        )
        assert (site.district, site.travel_minutes, site.set_up_minutes) == ("=North", 25, 20)
        entries = history_of(app.register, site.uid)
        assert entries[-1].before is not None  # saved again unchanged, nothing was noted
        undo_change(app.register, WHO, entries[-1].change)
        assert app.register.get(Site, site.uid) == replace(
            site, access_days="", closures=(), preferred=(), district="", travel_minutes=0, set_up_minutes=0
        )
        assert list(problems(app.register)) == []


async def test_what_cannot_be_a_day_is_said_beside_its_field_and_stays_typed(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "enter", "ctrl+p", *"days of visits", "enter", *"blue moons", "ctrl+s")
        assert isinstance(app.screen, FormScreen)
        assert "is not a rule for days" in screen_text(app)
        assert app.screen.focused is not None
        assert app.screen.focused.id == "access_days"
        await press(pilot, "ctrl+u", "tab", "tab", *"christmas", "ctrl+s")
        assert "is not a date" in screen_text(app)
        assert app.screen.focused is not None
        assert app.screen.focused.id == "closures"


async def test_a_crew_is_added_changed_and_told_apart_by_its_name(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "ctrl+p", *"crews", "enter", "enter", *"North", "tab", "ctrl+u", *"2", "ctrl+s")
        (crew,) = app.register.find(Crew)
        assert (crew.name, crew.people, crew.minutes_a_day, crew.days) == ("North", 2, 420, "")
        await press(pilot, "ctrl+p", *"crews", "enter", "down", "enter", "tab", "tab", "tab", *"mon", "ctrl+s")
        assert app.register.get(Crew, crew.uid).days == "FREQ=WEEKLY;BYDAY=MO"
        await press(pilot, "ctrl+p", *"crews", "enter", "enter", *"north", "ctrl+s")
        assert "there is a crew North already" in screen_text(app)
        await press(pilot, "tab", "ctrl+u", *"0", "ctrl+s")
        assert len(app.register.find(Crew)) == 1


async def test_a_way_is_kept_once_whichever_end_comes_first(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "ctrl+p", *"ways", "enter", "enter", *"North", "tab", *"Quay", "tab", *"35", "enter")
        (way,) = app.register.find(DistrictTravel)
        assert (way.district, way.other, way.minutes) == ("North", "Quay", 35)
        await press(pilot, "ctrl+p", *"ways", "enter", "enter", *"quay", "tab", *"north", "tab", *"5", "enter")
        assert "already; change that one" in screen_text(app)


async def test_who_is_responsible_is_named_in_the_form_of_the_site(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "e", *["tab"] * 9, *"R. Oak [red]", "tab", *"the lodge", "ctrl+s", "enter")
        assert "responsible: R. Oak [red], the lodge" in screen_text(app)
    site = next(each for each in app.register.find(Site) if each.responsible)
    assert (site.responsible, site.responsible_contact) == ("R. Oak [red]", "the lodge")
