"""Sites and the page of one site: counts in words, and the way to everything that is done there."""

import re
import threading
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pypdf
import pytest
from textual.pilot import Pilot

from appreg.core.records.kept_records import Client, Location, Site, Visit
from appreg.errors import RegisterUnusable
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.records.list_sites import SiteLine, list_sites
from appreg.ui.app import AppregApp
from appreg.ui.lists.table_columns import Tone
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.item.item_screen import ItemScreen
from appreg.ui.screens.site_page.site_page_screen import SitePageScreen
from appreg.ui.screens.sites.site_columns import count_words, loud, month_strip, warm
from appreg.ui.screens.sites.sites_screen import SitesScreen
from appreg.ui.screens.visits.visits_screen import VisitsScreen
from appreg.ui.screens.walk_round.walk_round_screen import WalkRoundScreen
from appreg.ui.widgets.beside import Beside
from tests.postgres_server import place_for
from tests.ui.list_register import TODAY, app_on

Apps = Callable[[], AppregApp]
_NAMED = {" ": "space", "/": "slash", "-": "minus", "_": "underscore", ".": "full_stop", ",": "comma"}


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*(_NAMED.get(key, key) for key in keys))
    for _ in range(3):
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def test_the_strip_of_months_is_scaled_to_its_fullest_and_shows_an_empty_month_as_a_dot() -> None:
    assert month_strip(0, (8, 4, 1, 0)) == "·│█▄▁·"
    assert month_strip(0, (0,) * 12) == "·│" + "·" * 12
    assert month_strip(8, (1,) + (0,) * 11) == "█│▁" + "·" * 11


def test_a_count_of_none_is_a_quiet_dash_and_any_other_is_loud() -> None:
    assert count_words(0) == "-"
    assert loud("-") is Tone.QUIET
    assert loud("3") is Tone.BAD
    assert warm("3") is Tone.WARN


async def test_every_site_is_listed_with_its_counts_under_words(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        shown = screen_text(app)
    head = next(line for line in shown.splitlines() if "overdue  soon" in line)
    kiln = next(line for line in shown.splitlines() if "Kiln Lane" in line)
    for word, figure in (("items", "6"), ("overdue", "3"), ("soon", "-"), ("failed", "1"), ("never", "1")):
        assert kiln[: head.index(word) + len(word)].split()[-1] == figure
    assert "2 sites, 12 items: overdue 8 items, 16 inspections · due soon 0 items" in shown
    assert "never inspected 2 items" in shown


async def test_one_key_puts_the_worst_sites_first_and_the_site_at_the_cursor_says_how_bad_it_is(
    app_factory: Apps,
) -> None:
    app = app_factory()
    async with app.run_test(size=(250, 40)) as pilot:
        await press(pilot)
        lines = screen_text(app).splitlines()
        harbour, kiln = (
            next(line for line in lines if name in line[:40]) for name in ("Harbour Row 14  ", "Kiln Lane pottery  ")
        )
        assert lines.index(harbour) < lines.index(kiln), "by name"
        heads = next(line for line in lines if "late, 12 months" in line)
        assert all(word in heads for word in ("oldest", "share", "responsible"))
        late = [int(line.split()[4]) for line in (harbour, kiln)]
        await press(pilot, "w", "w", "w")
        lines = screen_text(app).splitlines()
        order = [
            next(at for at, line in enumerate(lines) if name in line[:40])
            for name in ("Harbour Row 14  ", "Kiln Lane pottery  ")
        ]
        assert (order[0] < order[1]) == (late[0] > late[1])
        assert re.search(r"overdue \d items, \d+ inspections, \d+% of 6 items in service · the oldest since", lines[-2])


async def test_sites_whose_items_take_long_to_count_are_shown_first_and_keep_their_last_counts(
    app_factory: Apps, monkeypatch: pytest.MonkeyPatch
) -> None:
    may_count = threading.Event()

    def when_allowed(register: Register, *, today: date, within_days: int = 30) -> tuple[SiteLine, ...]:
        assert may_count.wait(20)
        return list_sites(register, today=today, within_days=within_days)

    monkeypatch.setattr("appreg.tasks.records.list_sites.MANY_ITEMS", 1)
    monkeypatch.setattr("appreg.ui.screens.sites.sites_screen.list_sites", when_allowed)
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        kiln = next(line for line in screen_text(app).splitlines() if "Kiln Lane" in line)
        assert kiln.split()[-5:] == ["…"] * 5, "a count that is not known is no count of none"
        assert "2 sites · counting their items …" in screen_text(app)
        may_count.set()
        await press(pilot)
        assert "2 sites, 12 items: overdue 8 items" in screen_text(app)
        counted = next(line for line in screen_text(app).splitlines() if "Kiln Lane" in line)
        may_count.clear()
        await pilot.press("f1")
        await pilot.press("escape")
        await pilot.pause()
        assert "counting their items …" in screen_text(app)
        assert counted in screen_text(app)
        may_count.set()
        await press(pilot)
        assert "2 sites, 12 items: overdue 8 items" in screen_text(app)


async def test_a_register_that_cannot_be_counted_is_said(app_factory: Apps, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(_register: Register, **_asked: object) -> tuple[SiteLine, ...]:
        raise RegisterUnusable("The register is being moved; open it again.")

    monkeypatch.setattr("appreg.tasks.records.list_sites.MANY_ITEMS", 1)
    monkeypatch.setattr("appreg.ui.screens.sites.sites_screen.list_sites", refused)
    app = app_factory()
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await press(pilot)
        assert "The register is being moved" in screen_text(app)
        assert "counting their items …" in screen_text(app)


async def test_a_new_site_is_added_with_its_client_in_place(tmp_path: Path) -> None:
    register = open_register(place_for(tmp_path / "new.appreg"))
    app = app_on(register)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        assert "press n to add the first one" in screen_text(app)
        await press(pilot, "n", *"[red]", "enter", "insert", *"=1+1", "ctrl+s", "ctrl+s")
        assert isinstance(app.screen, SitesScreen)
        assert "[red]" in screen_text(app)
    (site,) = register.find(Site)
    assert site.name == "[red]"
    assert site.prefix == "RE"
    assert register.get(Client, site.client).name == "=1+1"


async def test_a_site_without_a_client_is_refused_beside_the_field_and_nothing_is_lost(tmp_path: Path) -> None:
    app = app_on(open_register(place_for(tmp_path / "new.appreg")))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "n", *"Mill", "ctrl+s")
        shown = screen_text(app).splitlines()
        row = next(place for place, line in enumerate(shown) if "Client" in line)
        assert "! Client: none is chosen" in shown[row + 1]
        assert "Mill" in screen_text(app)
        assert not app.register.find(Site)


async def test_enter_opens_the_page_with_rules_and_items(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "down", "enter")
        assert isinstance(app.screen, SitePageScreen)
        shown = screen_text(app)
        for words in (
            "Site · Kiln Lane pottery",
            "for Mill Bridge Trust",
            "hsg107-2013",
            "failed 1",
            "KL-001",
            "KL-006",
        ):
            assert words in shown
        assert "HR-001" not in shown
        await press(pilot, "enter")
        assert isinstance(app.screen, ItemScreen)


async def test_a_visit_is_started_from_the_site_and_leads_to_the_bench(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "v")
        assert isinstance(app.screen, FormScreen)
        assert "Local codes" in screen_text(app)
        await press(pilot, "ctrl+s")
        assert isinstance(app.screen, BenchScreen)
        started = app.register.find(Visit, date=TODAY)
        assert len(started) == 1
        await press(pilot, "escape", "v")
        assert isinstance(app.screen, BenchScreen)
    assert app.register.find(Visit, date=TODAY) == started


async def test_a_lapsed_calibration_is_said_before_the_visit_starts(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "v", "ctrl+a", "backspace", *"1 Apr 2027")
        assert "The calibration of Bench tester (serial 42) lapsed on 01 Mar 2027" in screen_text(app)


async def test_a_site_without_items_says_to_walk_round_first(built_register: Register) -> None:
    app = app_on(built_register)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await press(pilot, "n", *"Aviary", "ctrl+s", "home", "v")
        assert "Aviary has no items yet" in screen_text(app)
        await press(pilot, "a")
        assert isinstance(app.screen, WalkRoundScreen)


async def test_the_visits_of_a_site_are_listed_and_one_leads_to_its_bench(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "down", "y")
        assert isinstance(app.screen, VisitsScreen)
        shown = screen_text(app)
        assert shown.index("24 Oct 2026") < shown.index("03 Nov 2025")
        assert "Ada Brook" in shown
        await press(pilot, "enter")
        assert isinstance(app.screen, BenchScreen)


@pytest.mark.parametrize("what", ["register", "report"])
async def test_a_document_is_written_where_it_is_asked_for(app_factory: Apps, tmp_path: Path, what: str) -> None:
    app = app_factory()
    file = tmp_path / "paper.pdf"
    way = ("down", "p") if what == "register" else ("down", "y", "p")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *way, "ctrl+a", "backspace", *str(file), "enter")
        for _ in range(50):
            if file.exists():
                break
            await pilot.pause(0.1)
        await press(pilot)
    assert "Kiln Lane pottery" in "".join(page.extract_text() for page in pypdf.PdfReader(file).pages)


async def test_the_rules_of_a_site_can_be_changed(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "e", "ctrl+a", "backspace", *"Quay", "ctrl+s")
        assert "Quay" in screen_text(app)
    assert {site.name for site in app.register.find(Site)} == {"Quay", "Kiln Lane pottery"}


async def test_another_rule_book_offers_its_own_environments(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "e", "tab", "tab", "tab", "tab", "down", "ctrl+s")
    changed = next(site for site in app.register.find(Site) if site.prefix == "HR")
    assert changed.rule_book == "eu"
    assert changed.environment != "low-risk"


async def test_a_location_is_added_and_changed_from_the_page(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "down", "enter", "c", "end", "enter", *"Glaze room", "tab", "down", "ctrl+s")
        assert isinstance(app.screen, SitePageScreen)
    room = app.register.find(Location, name="Glaze room")[0]
    assert room.environment


async def test_people_and_instruments_are_changed_from_the_list_of_commands(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "ctrl+p", *"instruments", "enter", "down", "enter")
        assert "Instrument · Bench tester" in screen_text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, SitesScreen)


async def test_at_120_columns_the_locations_of_the_site_stand_beside_the_list(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot)
        beside = app.screen.query_one(Beside)
        assert beside.display
        first, lines = beside.heading, beside.lines
        assert all(" item" in line.words for line in lines)
        await press(pilot, "down")
        assert beside.heading != first
        await pilot.resize_terminal(100, 40)
        await press(pilot)
        assert not beside.display
