"""Where a terminal has rows to spare, the Bench shows each check through the years, and what to look for."""

from functools import partial
from pathlib import Path

import pytest

from appreg.core.judging.methods import Method
from appreg.core.records.checks import Check
from appreg.tasks.inspecting.open_bench import BenchItem
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId
from appreg.ui.screens.bench.bench_judging import judge_bench, method_at_hand
from appreg.ui.screens.bench.bench_lines import bench_lines
from appreg.ui.screens.bench.bench_view import line_view
from appreg.ui.screens.bench.found_so_far import FoundSoFar, FoundView, found_rows, found_view
from tests.ui.bench_register import KETTLE, BenchTable, lay_table
from tests.ui.test_bench_at_a_metre import at_bench, picture, press
from tests.ui.test_item_past import inspect, opened

WIDTH = 140


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Kettle", KETTLE))


def known(item: BenchItem, *, looking: bool = False, way: Method | None = None) -> FoundView:
    entries = BenchEntries().typing(LineId("earth-continuity"), "0.09", "12:00:00")
    judged = judge_bench(item, entries)
    views = [line_view(line, item, entries, judged) for line in bench_lines(item, entries)]
    method_of = partial(method_at_hand, item, entries) if way is None else lambda _check: way
    return found_view(item, judged.outcome, views, method_of, looking=looking)


def drawn(view: FoundView, width: int = WIDTH, height: int = 40) -> list[str]:
    rows = [row.plain.rstrip() for row in found_rows(view, width, height)]
    assert len(rows) <= height
    assert all(len(row) <= width for row in rows)
    return rows


def words_of(rows: list[str], title: str) -> list[str]:
    return next(row for row in rows if row.startswith(title))[len(title) :].split()


def test_each_check_stands_in_a_row_through_the_years_with_today_and_its_limit(table: BenchTable) -> None:
    rows = drawn(known(opened(table)))
    assert rows[0].startswith("─ found so far ─")
    assert rows[1].split()[-6:] == ["20", "Nov", "2025", "today", "limit", "today"]
    assert words_of(rows, "earth ") == ["0.06", "0.06", "0.07", "0.08", "0.09", "≤", "0.1208", "Ω"]
    assert words_of(rows, "insulation 500 V") == [">299", "90", "55", "21", "to", "do", "≥", "1", "MΩ"]
    assert words_of(rows, "works") == ["ok", "ok", "ok", "ok", "to", "do"]
    assert any(row.startswith("─ earth, Ω ─") for row in rows)
    assert any("■" in row for row in rows), "today's reading in the plot"


def test_a_narrow_table_keeps_the_latest_days_and_a_part_without_room_is_left_out_whole(table: BenchTable) -> None:
    view = known(opened(table))
    assert words_of(drawn(view, width=80), "earth ")[:3] == ["0.07", "0.08", "0.09"]
    table_rows = len(view.lines) + 2
    assert not drawn(view, height=table_rows - 1)
    assert not any(row.startswith("─ earth") for row in drawn(view, height=table_rows + 5))


def test_a_failure_of_then_is_told_in_words_and_another_way_of_measuring_in_brackets(table: BenchTable) -> None:
    inspect(table, 2024, "0.08", "55")
    inspect(table, 2025, "0.62", "21")
    item = opened(table, readings=0)
    assert words_of(drawn(known(item)), "earth ")[:3] == ["0.08", "0.62", "FAIL"]
    otherwise = drawn(known(item, way=Method(test_volts=250)))
    assert words_of(otherwise, "insulation 500 V")[:2] == ["(55)", "–"]
    assert "in brackets: measured in another way" in otherwise[0]
    assert not any("■" in row for row in otherwise), "only like is compared with like"


def test_what_to_look_for_comes_first_where_the_list_has_the_keys_or_nothing_was_found_yet(table: BenchTable) -> None:
    assert drawn(known(opened(table, readings=0)))[0].startswith("─ what to look for ─")
    item = opened(table)
    assert drawn(known(item, looking=True))[0].startswith("─ what to look for ─")
    assert "fuse: 13 A on record" in drawn(known(item, looking=True))[0]


async def test_it_stands_where_there_is_room_and_follows_the_reading(table: BenchTable) -> None:
    opened(table)
    async with table.app().run_test(size=(200, 60)) as pilot:
        screen = await at_bench(pilot, table, 0)
        assert "what to look for" in picture(pilot)
        await press(pilot, "space", *"0.11")
        assert screen.board.current_check is Check.EARTH_CONTINUITY
        (row,) = [line for line in picture(pilot).splitlines() if line.startswith(" earth     ") and "0.07  " in line]
        assert row.split()[1:6] == ["0.06", "0.06", "0.07", "0.08", "0.11"]
        await pilot.resize_terminal(120, 40)
        await press(pilot)
        assert not screen.query_one(FoundSoFar).display
        assert "found so far" not in picture(pilot)
