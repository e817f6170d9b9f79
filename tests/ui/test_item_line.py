"""The line over the Bench for what the plate says: what is typed there counts as read."""

from decimal import Decimal
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.records.appliances import ApplianceClass
from appreg.core.records.kept_records import Appliance, Location
from appreg.core.values.outcomes import Outcome
from appreg.tasks.records.add_walked_items import add_walked_items
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.screens.bench.item_line_screen import ItemLineScreen
from tests.ui.bench_register import LAMP, WHO, bench_of, lay_table


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(4):
        await pilot.pause()


async def test_what_is_typed_over_the_bench_is_read_and_all_that_was_entered_stays(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "r.db")
    seed_categories(table.register, WHO)
    (place,) = table.register.find(Location)
    (kettle,) = add_walked_items(table.register, WHO, location=place.uid, typed="kettle")
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=kettle.uid)
        await press(pilot)
        await press(pilot, "space", *"0.1", "ctrl+e", "tab", *"0.75x1x", "enter")
        assert isinstance(app.screen, ItemLineScreen)
        assert "cord" in str(app.screen.query_one("#refusal", Static).render())
        await press(pilot, *["backspace"], *".2", "tab", "tab", *"2kW", "tab", *"K-7", "enter")
        assert bench_of(app).state.entries.typed == {"earth-continuity": "0.1"}
    now = table.register.get(Appliance, kettle.uid)
    assert (now.cord_csa_mm2, now.cord_length_m, now.power_w) == (Decimal("0.75"), Decimal("1.2"), 2000)
    assert now.tag == "K-7"
    assert now.appliance_class is ApplianceClass.CLASS_I
    assert not {"cord-size", "cord-length", "power"} & {*(now.assumed or ())}
    assert set(now.assumed or ()) < set(kettle.assumed or ())
    assert now.assumed


async def test_a_class_that_is_typed_sets_the_lines_out_anew_and_escape_changes_nothing(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "r.db", ("Desk lamp", LAMP))
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await press(pilot)
        await press(pilot, "ctrl+e", *"1", "escape")
        assert table.item(0).appliance_class is ApplianceClass.CLASS_II
        await press(pilot, "ctrl+e", *"1", "enter")
        assert table.item(0).appliance_class is ApplianceClass.CLASS_I
        assert [line.line_id for line in bench_of(app).board.lines][1] == "earth-continuity"


async def test_a_stroke_for_the_fuse_says_that_there_is_none(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "r.db", ("Lamp of 12 V", LAMP))
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await press(pilot)
        await press(pilot, "ctrl+e", *"3", "enter", "space")
        seen = bench_of(app).state.judged
        assert seen is not None
        assert "Class III with a fuse in a mains plug" in seen.judgement.findings[0].arithmetic
        assert seen.outcome is Outcome.INCOMPLETE
        await press(pilot, "ctrl+e", "tab", "tab", "-", "enter")
        await press(pilot, "space")
        done = bench_of(app).state.judged
        assert done is not None
        assert done.outcome is Outcome.PASS
    assert table.item(0).fuse_a is None
