"""Every figure of every interval table against the published tables, row by row."""

from functools import partial

import pytest

from appreg.core.records.appliances import ApplianceClass, EquipmentType, RcdMounting
from appreg.core.rules.interval_table_loading import load_interval_tables
from appreg.core.rules.interval_tables import EquipmentKey, Interval, IntervalAnswer, IntervalTable
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_rule_book
from appreg.core.values.periods import parse_period
from tests.outside.checked_values import Checked, case_name, cases
from tests.outside.interval_cases import CASES, IntervalCase


def answer_of(case: IntervalCase, table: IntervalTable) -> IntervalAnswer:
    key = EquipmentKey(
        appliance_class=ApplianceClass(case.appliance_class),
        equipment_type=EquipmentType(case.equipment_type),
        battery=case.battery,
        rcd_mounting=RcdMounting(case.rcd) if case.rcd else None,
    )
    answer = table.answer(case.environment, key)
    assert answer is not None
    return answer


def interval_of(written: str) -> Interval | None:
    if written == "-":
        return None
    if written == "?":
        return Interval(when=("not stated",))
    figure, _, events = written.partition(" ") if written.startswith("P") else ("", "", written)
    when = tuple(event for event in events.split(", ") if event)
    if not figure:
        return Interval(when=when)
    shortest, _, longest = figure.partition("/")
    return Interval(shortest=parse_period(shortest), longest=parse_period(longest or shortest), when=when)


def agrees(case: IntervalCase, book: RuleBook) -> None:
    answer = answer_of(case, book.interval_tables[case.table])
    asked = (answer.user_check, answer.visual, answer.test)
    assert asked == (interval_of(case.user_check), interval_of(case.visual), interval_of(case.test))
    assert answer.citation.source == case.source
    assert answer.citation.edition
    assert answer.citation.basis == case.basis


def checked(case: IntervalCase) -> Checked:
    book, table = next(
        (book, tables[case.table])
        for book, tables in ((name, load_interval_tables(name)) for name in RULE_BOOK_IDS)
        if case.table in tables
    )
    row = answer_of(case, table).row_id
    return Checked(
        book=book,
        keys=tuple(f"intervals.{case.table}.{row}.{kind}" for kind in ("user_check", "visual", "test")),
        expected=str(case),
        source=case.source,
        basis=case.basis,
        run=partial(agrees, case),
    )


CHECKED = tuple(checked(case) for case in CASES)


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_the_table_asks_what_the_published_row_asks_and_names_its_source_and_basis(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))


@pytest.mark.parametrize(("environment", "shorter", "longer"), [("office", "P6M", "P2Y"), ("workshop", "P6M", "P1Y")])
def test_dguv_v3_lets_an_interval_grow_to_its_longest_and_no_further(
    environment: str, shorter: str, longer: str
) -> None:
    """DGUV V3 table 1B (published): guide value 6 months; at most 2 years in offices, 1 year in workshops."""
    key = EquipmentKey(appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE)
    answer = load_interval_tables("eu")["dguv-v3"].answer(environment, key)
    assert answer is not None
    assert answer.test is not None
    assert (str(answer.test.chosen(longer=False)), str(answer.test.chosen(longer=True))) == (shorter, longer)
