"""The Evidence screen by keys: weighed, regrouped, held against another target, a suggestion accepted."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot
from textual.widgets import Sparkline, Static

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.records.work_records import IntervalKind, IntervalOverride
from appreg.core.values.text import is_hidden
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.planning.override_interval import TakenBack, override_for_items
from appreg.tasks.planning.weigh_evidence import weigh_evidence
from appreg.ui.app import AppregApp
from appreg.ui.screens.evidence.evidence_forms import AcceptForm, TakeBackForm
from appreg.ui.screens.evidence.evidence_screen import EvidenceScreen
from appreg.ui.screens.evidence.evidence_words import answer_words
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import TypedForm
from appreg.ui.shell.place_line import PlaceLine
from appreg.ui.widgets.rate_band import RateBand
from tests.evidence_site import MEASURED, PASSED, SEEN, fill
from tests.hostile_names import HOSTILE_NAMES
from tests.postgres_server import can_be_kept
from tests.tasks.worked_site import WorkedSite, worked_site
from tests.ui.list_register import TODAY, WHO, app_on
from tests.ui.snapshot_sizes import SIZES


@pytest.fixture
def weighed(tmp_path: Path) -> Iterator[WorkedSite]:
    """Kettles with 400 inspections: 7 failed by what was measured, 1 by what was seen."""
    with worked_site(tmp_path) as here:
        failed = [MEASURED if at % 50 == 0 else SEEN if at == 33 else PASSED for at in range(400)]
        fill(here, failed, items=100)
        yield here


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def open_evidence(pilot: Pilot[None]) -> EvidenceScreen:
    await pilot.pause()
    await press(pilot, "f7")
    screen = pilot.app.screen
    assert isinstance(screen, EvidenceScreen)
    return screen


def rows(screen: EvidenceScreen) -> list[str]:
    table = screen.table
    return [table.render_line(y).text[2:] for y in range(1, min(table.row_count, table.size.height - 1) + 1)]


def said(screen: EvidenceScreen, place: str) -> str:
    return str(screen.query_one(place, Static).render())


async def test_the_key_that_accepts_is_named_as_it_is_now(weighed: WorkedSite) -> None:
    settings = Settings(keys={"evidence.accept": "f10"})
    async with AppregApp(weighed.register, today=TODAY, who=WHO, settings=settings).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        await press(pilot, "down")
        assert "instead of 6 months; F10 accepts it" in said(screen, "#answer")


async def test_each_interval_of_like_items_is_weighed_drawn_and_spelled_out(weighed: WorkedSite) -> None:
    async with app_on(weighed.register).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        test, look = rows(screen)
        assert "keep" in test
        assert "may be lengthened" in look
        assert said(screen, "#answer").startswith("keep: 9 of 400 failed")
        assert "seen 1, measured 8 · earth-continuity 8, visual 1" in said(screen, "#answer")
        assert "left out: 100 first inspections, 9 retests" in said(screen, "#answer")
        assert "without a failure would allow a longer interval" in said(screen, "#answer")
        assert "2025 2 of 100" in said(screen, "#years")
        assert screen.query_one(RateBand).view is not None
        assert len(screen.query_one(Sparkline).data or ()) == 4
        await press(pilot, "down")
        assert "suggested: 1 year instead of 6 months; a accepts it" in said(screen, "#answer")


async def test_a_suggestion_becomes_an_override_only_when_it_is_accepted(weighed: WorkedSite) -> None:
    async with app_on(weighed.register).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        await press(pilot, "down", "a")
        await press(pilot, "escape")
        assert weighed.register.find(IntervalOverride) == []
        await press(pilot, "a")
        await press(pilot, *"ok", "ctrl+s")
        assert pilot.app.screen is screen
        kept = weighed.register.find(IntervalOverride)
        assert len(kept) == 100
        assert {(each.period, each.author) for each in kept} == {("P1Y", "test")}
        assert kept[0].reason.endswith(". ok")
        (_, look) = rows(screen)
        assert "1 y" in look


def test_one_item_is_counted_as_one(weighed: WorkedSite) -> None:
    suggested = next(group for group in weigh_evidence(weighed.register) if group.suggestion)
    group = replace(suggested, items=suggested.items[:1])
    desk, nothing = Desk(weighed.register, WHO, lambda: TODAY), TypedForm({}, {})
    would = TakenBack(gone=(), back=())
    said = [*AcceptForm(desk, group).cautions(nothing), *TakeBackForm(desk, group, would).cautions(nothing)]
    assert [words for words in said if "for 1 item, in your name" in words]
    assert [words for words in said if "no longer holds for 0 items." in words]
    assert "accepts it: 1 item, counted anew" in str(answer_words(group, str))


async def test_an_accepted_interval_is_taken_back_by_keys_and_what_stood_before_holds_again(
    weighed: WorkedSite,
) -> None:
    kettles = weighed.register.find(Appliance)
    before = override_for_items(
        weighed.register,
        "Ann",
        items=kettles,
        what=IntervalKind.VISUAL,
        period="P6M",
        reason="as agreed",
        on=date(2015, 1, 1),
    )
    async with app_on(weighed.register).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        await press(pilot, "down", "a", *"ok", "ctrl+s")
        assert {each.period for each in weighed.register.find(IntervalOverride)} == {"P1Y"}
        await press(pilot, "down")
        assert "800 begun before it was set" in said(screen, "#answer")
        assert "in use: 1 year, set on 24 Nov 2026 by test, counted from then on; b takes it back" in said(
            screen, "#answer"
        )
        await press(pilot, "b")
        shown = str(pilot.app.screen.query_one("#cautions", Static).render())
        assert "every 6 months, set for this item by Ann on 01 Jan 2015: as agreed" in shown
        await press(pilot, "escape")
        assert {each.period for each in weighed.register.find(IntervalOverride)} == {"P1Y"}
        await press(pilot, "b", *"damp", "ctrl+s")
        assert pilot.app.screen is screen
        assert set(weighed.register.find(IntervalOverride)) == set(before)
        await press(pilot, "down")
        assert "in use: 6 months, set on 01 Jan 2015 by Ann" in said(screen, "#answer")
        assert "may be lengthened" in rows(screen)[1]


async def test_beyond_the_table_a_duty_holder_signs_with_name_and_day(weighed: WorkedSite) -> None:
    with weighed.register.change("test") as change:
        change.put(replace(weighed.register.get(Site, weighed.site.uid), environment="public"))
    # HSG107 (second-hand): a yearly test where the public uses it, and no range.
    async with app_on(weighed.register).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        await press(pilot, "t", *["backspace"] * 4, "8", "ctrl+s")
        assert "a duty holder has to sign: 18 months is longer than 1 year" in said(screen, "#answer")
        await press(pilot, "a", *"ok", "ctrl+s")
        assert pilot.app.screen is not screen
        assert weighed.register.find(IntervalOverride) == []
        await press(pilot, *"N. Holder", "enter", *["backspace"] * 11, *"25 nov 2026", "ctrl+s")
        assert pilot.app.screen is not screen
        await press(pilot, *["backspace"] * 11, *"20 nov 2026", "ctrl+s")
        assert pilot.app.screen is screen
        kept = weighed.register.find(IntervalOverride)
        assert {(each.period, each.author, each.signed_by, each.signed_on) for each in kept} == {
            ("P18M", "test", "N. Holder", date(2026, 11, 20))
        }
        assert len(kept) == 100


async def test_nothing_is_taken_back_where_the_table_holds(weighed: WorkedSite) -> None:
    async with app_on(weighed.register).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        await press(pilot, "b")
        assert pilot.app.screen is screen


async def test_how_the_answer_comes_about_is_told_with_its_sources(weighed: WorkedSite) -> None:
    async with app_on(weighed.register).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        await press(pilot, "enter")
        told = " ".join(str(each.render()) for each in pilot.app.screen.query(Static))
        assert "NCSL RP-1, method A3" in told
        assert "0.75 to 1.5 times the interval after the last pass" in told
        assert "(common practice)" in told
        await press(pilot, "escape", "question_mark", "escape")
        assert pilot.app.screen is screen


@SIZES
async def test_a_narrow_screen_shows_the_newest_years_and_every_line(
    weighed: WorkedSite, size: tuple[int, int]
) -> None:
    async with app_on(weighed.register).run_test(size=size) as pilot:
        screen = await open_evidence(pilot)
        for row in range(2):
            answer = screen.query_one("#answer", Static)
            lines = "\n".join(answer.render_line(y).text for y in range(answer.size.height))
            words = " ".join(lines.split())
            assert " ".join(said(screen, "#answer").split()) in words, row
            years = screen.query_one("#years", Static)
            assert " 2025 " in years.render_line(0).text
            assert " 2024 " in years.render_line(0).text
            await press(pilot, "down")


async def test_nothing_is_accepted_where_nothing_is_suggested(weighed: WorkedSite) -> None:
    async with app_on(weighed.register).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        await press(pilot, "a")
        assert pilot.app.screen is screen
        assert weighed.register.find(IntervalOverride) == []


async def test_grouping_target_and_site_can_be_changed(weighed: WorkedSite) -> None:
    async with app_on(weighed.register).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        assert all("no category" in row for row in rows(screen))
        await press(pilot, "g")
        assert all("portable" in row for row in rows(screen))
        await press(pilot, "t", *["backspace"] * 4, *"0.5", "ctrl+s")
        assert pilot.app.screen is screen
        assert "should be shortened" in rows(screen)[0]
        assert "0.5 % accepted" in screen.query_one(PlaceLine).right
        await press(pilot, "s", "down", "enter")
        assert "Harbour Row" in screen.query_one(PlaceLine).left


async def test_a_target_that_is_none_keeps_the_form_open(weighed: WorkedSite) -> None:
    async with app_on(weighed.register).run_test(size=(120, 40)) as pilot:
        screen = await open_evidence(pilot)
        await press(pilot, "t", *["backspace"] * 4, "0", "ctrl+s")
        assert pilot.app.screen is not screen


async def test_hostile_names_are_shown_and_do_nothing(weighed: WorkedSite) -> None:
    names = list(filter(can_be_kept, HOSTILE_NAMES))
    with weighed.register.change("test") as change:
        change.put(replace(weighed.register.get(Site, weighed.site.uid), name=names[1]))
        for at, item in enumerate(weighed.register.find(Appliance)):
            change.put(replace(item, name=names[at]))
    async with app_on(weighed.register).run_test(size=(80, 24)) as pilot:
        screen = await open_evidence(pilot)
        await press(pilot, "s", "down", "enter", "down", "a", "escape")
        assert pilot.app.screen is screen
        assert not any(is_hidden(character) for row in rows(screen) for character in row)


@SIZES
def test_the_evidence_looks_as_it_should(snap_compare: Any, weighed: WorkedSite, size: tuple[int, int]) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await open_evidence(pilot)
        await press(pilot, "g", "down")

    assert snap_compare(app_on(weighed.register), terminal_size=size, run_before=keys)
