"""The day turns while the program runs: it says so, new records bear the new day, and nothing typed is lost."""

from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path

import pytest
from msgspec import Struct, field
from textual.pilot import Pilot

from appreg.clock import Instant
from appreg.core.records.kept_records import Inspection, Visit
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.tasks.desk.doubt_clock import SLACK
from appreg.tasks.inspecting.keep_bench_draft import bench_draft
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.keeping.begin_work import begin_work
from appreg.ui.app import AppregApp
from appreg.ui.screens.asking.pick_screen import PickScreen
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from tests.ui.bench_register import LAMP, NOON, TODAY, WHO, BenchTable, lay_table

LAMP_KEYS = ("space", *">299", "enter", "space")
TOMORROW = TODAY + timedelta(days=1)


class Night(Struct):
    """A day that is turned, and a clock that is set, by hand."""

    day: date = TODAY
    now: int = NOON
    said: list[str] = field(default_factory=list)

    def app(self, table: BenchTable) -> AppregApp:
        app = AppregApp(table.register, today=lambda: self.day, who=WHO, clock=lambda: Instant(self.now))
        app.warn = self.said.append  # type: ignore[method-assign, assignment]
        return app


@pytest.fixture
def night() -> Night:
    return Night()


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Desk lamp", LAMP), ("Floor lamp", LAMP))


async def press(pilot: Pilot[None], keys: Iterable[str]) -> None:
    await pilot.press(*keys)
    for _ in range(4):
        await pilot.pause()


async def on_the_bench_at_midnight(pilot: Pilot[None], table: BenchTable, night: Night) -> None:
    app = pilot.app
    assert isinstance(app, AppregApp)
    app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
    await press(pilot, ())
    await press(pilot, LAMP_KEYS[:3])
    night.day = TOMORROW
    app.look_at_day()
    await press(pilot, LAMP_KEYS[3:])
    assert night.said == [
        "It is 25 Nov 2026 now: lists and new records go by that day.",
        "This visit is of the day before: you are asked which it shall be before the next item is kept.",
    ]
    await press(pilot, ("enter",))
    assert isinstance(app.screen, PickScreen)
    assert kept(table, 0) == []


def kept(table: BenchTable, place: int) -> list[Inspection]:
    return effective_inspections(table.register, table.uid(place))


async def test_a_days_work_goes_on_in_a_visit_of_the_new_day(table: BenchTable, night: Night) -> None:
    async with night.app(table).run_test(size=(100, 30)) as pilot:
        await on_the_bench_at_midnight(pilot, table, night)
        await press(pilot, ("enter",))
        assert isinstance(pilot.app.screen, BenchScreen)
        await press(pilot, (*LAMP_KEYS, "enter"))
    (first,), (second,) = kept(table, 0), kept(table, 1)
    assert (first.outcome, first.date, second.date) == (Outcome.PASS, TOMORROW, TOMORROW)
    visit = table.register.get(Visit, first.visit)
    assert visit.uid == second.visit != table.visit.uid
    assert (visit.site, visit.person, visit.instrument) == (
        table.visit.site,
        table.visit.person,
        table.visit.instrument,
    )


async def test_a_nights_work_stays_in_its_visit_and_is_asked_about_once(table: BenchTable, night: Night) -> None:
    async with night.app(table).run_test(size=(100, 30)) as pilot:
        await on_the_bench_at_midnight(pilot, table, night)
        await press(pilot, ("down", "enter", *LAMP_KEYS, "enter"))
    assert [each.visit for place in (0, 1) for each in kept(table, place)] == [table.visit.uid] * 2
    assert len(table.register.find(Visit)) == 1


async def test_leaving_the_question_keeps_nothing_and_loses_nothing(table: BenchTable, night: Night) -> None:
    async with night.app(table).run_test(size=(100, 30)) as pilot:
        await on_the_bench_at_midnight(pilot, table, night)
        await press(pilot, ("escape",))
        assert night.said[-1] == "Not kept yet: say first which visit it belongs to."
        assert kept(table, 0) == []
        draft = bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(0))
        assert draft is not None
        assert ">299" in draft.body
        await press(pilot, ("enter", "enter"))
    assert [each.date for each in kept(table, 0)] == [TOMORROW]


async def test_a_visit_of_an_earlier_day_that_was_opened_knowingly_is_not_asked_about(
    table: BenchTable, night: Night
) -> None:
    night.day = TODAY + timedelta(days=5)
    async with night.app(table).run_test(size=(100, 30)) as pilot:
        app = pilot.app
        assert isinstance(app, AppregApp)
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await press(pilot, ())
        night.day += timedelta(days=1)
        await press(pilot, (*LAMP_KEYS, "enter"))
    assert [each.date for each in kept(table, 0)] == [TODAY]


async def test_a_form_open_over_midnight_starts_a_visit_of_the_new_day(tmp_path: Path, night: Night) -> None:
    table = lay_table(tmp_path / "r.db", ("Desk lamp", LAMP), on=TODAY - timedelta(days=30))
    async with night.app(table).run_test(size=(100, 30)) as pilot:
        await press(pilot, ("v",))
        assert isinstance(pilot.app.screen, FormScreen)
        night.day = TOMORROW
        await press(pilot, ("ctrl+s",))
        assert isinstance(pilot.app.screen, BenchScreen)
    assert [each.date for each in table.register.find(Visit)][-1] == TOMORROW
    assert night.said == ["It is 25 Nov 2026 now: lists and new records go by that day."]


async def test_a_list_is_read_again_when_the_day_turns(table: BenchTable, night: Night) -> None:
    async with night.app(table).run_test(size=(100, 30)) as pilot:
        app = pilot.app
        assert isinstance(app, AppregApp)
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await press(pilot, ())
        await press(pilot, (*LAMP_KEYS, "enter", "escape", "f3"))

        def shown() -> str:
            return "\n".join(line.text for line in app.screen._compositor.render_strips())

        assert "overdue 0" in shown()
        night.day += timedelta(days=2000)
        app.look_at_day()
        await press(pilot, ())
        assert "overdue 0" not in shown()


async def test_a_day_that_is_given_never_turns(table: BenchTable) -> None:
    app = table.app()
    async with app.run_test():
        app.look_at_day()
        assert app.today == TODAY
        assert app.register.on_saved is None


def saves(table: BenchTable) -> None:
    start_visit(table.register, WHO, site=table.visit.site, on=TODAY, person=table.visit.person)


async def test_a_clock_behind_the_journal_is_said_again_with_the_first_save_and_once(
    table: BenchTable, night: Night
) -> None:
    night.now = NOON - 3_600_000
    async with night.app(table).run_test():
        assert night.said == []
        saves(table)
        saves(table)
        assert len(night.said) == 1
        assert night.said[0].startswith("This machine's clock says 24 Nov 2026 ")
        night.now = NOON + 10_000
        saves(table)
        night.now = NOON - 600_000
        saves(table)
        assert len(night.said) == 2


async def test_a_clock_a_day_ahead_is_said_again_with_the_first_save_and_once(table: BenchTable, night: Night) -> None:
    night.now = NOON + 34 * 86_400_000 + 60_000
    async with night.app(table).run_test():
        saves(table)
        saves(table)
    (said,) = night.said
    assert "34 days after the last change in this register" in said
    assert "If that cannot be, set the clock right" in said


@pytest.mark.parametrize(
    ("away", "writes", "said"),
    [
        (-SLACK - 1000, False, "set it right before you go on"),
        (-SLACK - 1000, True, "set it right before you go on"),
        (-SLACK + 1000, True, ""),
        (86_000_000, True, ""),
        (86_500_000, True, "more than a day after the last change"),
        (86_500_000, False, ""),
    ],
)
def test_the_clock_is_doubted_before_work_starts(away: int, writes: bool, said: str, table: BenchTable) -> None:
    last = table.register.last_instant()
    assert last is not None
    told = begin_work(table.register, environ={}, now=Instant(last + away), writes=writes)
    assert len(told) == bool(said)
    assert said in "".join(told)
