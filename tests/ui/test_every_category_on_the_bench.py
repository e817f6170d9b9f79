"""Every category of the list, in every book, has on the Bench the lines with which it can be finished."""

from pathlib import Path
from typing import Final

import pytest
from msgspec.structs import replace

from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Category, Location, Site
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_rule_book
from appreg.core.values.outcomes import Outcome
from appreg.tasks.inspecting.open_bench import BenchItem, open_bench
from appreg.tasks.records.add_walked_items import add_walked_items
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId, Mark
from appreg.ui.screens.bench.bench_judging import judge_bench
from appreg.ui.screens.bench.bench_lines import LineShape, bench_lines, line_of, visual_line
from tests.ui.bench_register import TODAY, WHO, lay_table

SOUND: Final = {
    Check.EARTH_CONTINUITY: "0.05",
    Check.INSULATION: ">299",
    Check.LEAKAGE: "0.1",
    Check.RCD_HALF: "none",
    Check.RCD_1X: "20",
    Check.RCD_2X: "20",
    Check.RCD_5X: "20",
    Check.MICROWAVE: "1",
}
"""What an instrument shows of a sound item of any kind."""


def filled(item: BenchItem, *, without: Check | None = None) -> BenchEntries:
    """Every line that the Bench offers, answered well; but for one check."""
    lines = [line for line in bench_lines(item, BenchEntries()) if line.check is not without]
    looked = {} if without is Check.VISUAL else {visual_line(each.id): Mark.OK for each in item.visual_lines}
    ticked = {line.id: Mark.OK for line in lines if line.shape is LineShape.TICK}
    typed = {LineId(line.id): SOUND[line.check] for line in lines if line.shape is LineShape.READING}
    entries = replace(BenchEntries(), marks={**looked, **ticked}, typed=typed)
    # Long cords have more resistance than is typed here: it is said to have been read so.
    for doubt in judge_bench(item, entries).doubts():
        entries = entries.confirming(line_of(doubt.check), doubt.words)
    return entries


@pytest.mark.parametrize("book_id", RULE_BOOK_IDS)
def test_every_category_passes_by_the_lines_it_is_given_and_by_none_fewer(book_id: str, tmp_path: Path) -> None:
    table = lay_table(tmp_path / "r.sqlite")
    register, book = table.register, load_rule_book(book_id)
    seed_categories(register, WHO)
    ((site,), (place,)) = register.find(Site), register.find(Location)
    environment = next(iter(book.interval_tables[book.default_interval_table].environments))
    change_record(register, WHO, replace(site, rule_book=book_id, interval_table="", environment=environment))
    for category in register.find(Category):
        (walked,) = add_walked_items(register, WHO, location=place.uid, typed=category.name, category=category.uid)
        item = open_bench(register, walked.uid, today=TODAY)
        assert judge_bench(item, filled(item)).outcome is Outcome.PASS, category.name
        for check in item.rules.required:
            assert judge_bench(item, filled(item, without=check)).outcome is not Outcome.PASS, (category.name, check)
    register.close()
