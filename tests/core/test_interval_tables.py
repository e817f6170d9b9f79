"""Interval tables answer for every item, and an overlay changes them with its own source."""

from itertools import product

import pytest

from appreg.core.records.appliances import ApplianceClass, EquipmentType, RcdMounting
from appreg.core.rules.interval_table_loading import load_interval_tables, tables_of
from appreg.core.rules.interval_tables import EquipmentKey, Interval, interval_values, written
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS
from appreg.core.values.periods import parse_period
from appreg.core.values.toml_places import TomlText
from appreg.errors import InputRefused

TABLE_IDS = [(book, table) for book in RULE_BOOK_IDS for table in tables_of(book)]
KETTLE = EquipmentKey(appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE)
HOUSE_RULE = """
[intervals.hsg107-2013.rows.public]
visual = { every = "P1M" }
source = "House rule 4"
edition = "2026"
basis = "common practice"
"""


@pytest.mark.parametrize(("book", "table_id"), TABLE_IDS)
def test_a_table_answers_for_every_kind_of_item_in_every_environment(book: str, table_id: str) -> None:
    table = load_interval_tables(book)[table_id]
    for environment in table.environments:
        for cls, kind, battery, rcd in product(ApplianceClass, EquipmentType, (False, True), (None, *RcdMounting)):
            key = EquipmentKey(appliance_class=cls, equipment_type=kind, battery=battery, rcd_mounting=rcd)
            assert table.answer(environment, key) is not None, (environment, key)


@pytest.mark.parametrize(("book", "table_id"), TABLE_IDS)
def test_an_item_of_unknown_class_has_the_intervals_of_class_1(book: str, table_id: str) -> None:
    table = load_interval_tables(book)[table_id]
    for environment, kind in product(table.environments, EquipmentType):
        unknown = EquipmentKey(appliance_class=ApplianceClass.UNKNOWN, equipment_type=kind)
        earthed = EquipmentKey(appliance_class=ApplianceClass.CLASS_I, equipment_type=kind)
        assert table.answer(environment, unknown) == table.answer(environment, earthed)


@pytest.mark.parametrize(("book", "table_id"), TABLE_IDS)
def test_every_figure_has_a_key_of_its_own_a_source_an_edition_and_a_basis(book: str, table_id: str) -> None:
    values = interval_values(load_interval_tables(book)[table_id])
    assert len({value.key for value in values}) == len(values)
    assert all(value.citation.source and value.citation.edition and value.citation.basis for value in values)
    assert all(value.value and value.title and value.condition for value in values)


def test_the_2010_edition_is_nowhere_longer_than_that_of_2003() -> None:
    tables = load_interval_tables("anz")
    for environment, cls, kind in product(tables["anz-2010"].environments, ApplianceClass, EquipmentType):
        key = EquipmentKey(appliance_class=cls, equipment_type=kind)
        newer = tables["anz-2010"].answer(environment, key)
        older = tables["anz-2003"].answer(environment, key)
        assert newer and older and newer.test and older.test  # noqa: PT018 - each narrows a type
        assert newer.test.shortest and older.test.shortest  # noqa: PT018
        assert newer.test.shortest <= older.test.shortest


def test_an_unknown_table_is_not_found() -> None:
    tables = load_interval_tables("gb")
    assert "dguv-v3" not in tables
    assert len(tables) == len(tables_of("gb"))


def test_a_range_is_written_with_both_its_ends() -> None:
    year, two = parse_period("P1Y"), parse_period("P2Y")
    assert written(Interval(shortest=year, longest=two)) == "P1Y to P2Y"
    assert written(Interval(shortest=year, longest=year, when=("before issue",))) == "P1Y, before issue"
    assert Interval(shortest=year, longest=two, when=("before issue",)).words == "before issue, 1 year to 2 years"
    assert (Interval(shortest=year, longest=two).chosen(longer=False), two) == (
        year,
        Interval(longest=two).chosen(longer=True),
    )


def test_an_overlay_changes_one_interval_and_names_its_own_source() -> None:
    changed = load_interval_tables("gb", TomlText(name="house.toml", text=HOUSE_RULE))["hsg107-2013"]
    answer = changed.answer("public", KETTLE)
    assert answer is not None
    assert answer.visual == Interval(shortest=parse_period("P1M"), longest=parse_period("P1M"))
    assert str(answer.test and answer.test.shortest) == "P1Y"
    assert answer.citation.source == "House rule 4"
    untouched = load_interval_tables("gb")["hsg107-2013"].answer("public", KETTLE)
    assert untouched is not None
    assert str(untouched.visual and untouched.visual.shortest) == "P3M"


def test_a_row_that_an_overlay_adds_is_searched_first() -> None:
    text = """
[intervals.hsg107-2013.environments]
theatre = "theatre stage"
[intervals.hsg107-2013.rows.stage]
title = "on stage"
environments = ["theatre"]
user_check = { when = ["before each show"] }
visual = "none needed"
test = { shortest = "P3M", longest = "P6M" }
source = "House rule 9"
edition = "2026"
basis = "common practice"
"""
    table = load_interval_tables("gb", TomlText(name="house.toml", text=text))["hsg107-2013"]
    answer = table.answer("theatre", KETTLE)
    assert answer is not None
    assert answer.title == "on stage"


def test_an_overlay_can_add_a_whole_table() -> None:
    text = """
[intervals.stage]
title = "Stage equipment"
source = "House rule 9"
edition = "2026"
environments = { stage = "on stage" }
[intervals.stage.rows.all]
title = "on stage"
user_check = "none needed"
visual = "not stated"
test = { every = "P6M" }
basis = "memory"
source = "House rule 9"
"""
    tables = load_interval_tables("eu", TomlText(name="house.toml", text=text))
    assert list(tables) == ["dguv-v3", "stage"]
    assert tables["stage"].answer("stage", KETTLE) is not None


ROW = "[intervals.hsg107-2013.rows.public]\nsource = 's'\nbasis = 'memory'\n"

OWN = "[intervals.own]\ntitle = 'x'\nedition = 'y'\nsource = 's'\n"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("intervals = 3", r"house\.toml, line 1, intervals: must be a table"),
        ("[intervals]\nhsg107-2013 = 3", r"line 2, intervals\.hsg107-2013: must be a table"),
        ("[intervals.hsg107-2013.rows]\npublic = 3", r"line 2, .*rows\.public: must be a table"),
        ("[intervals.hsg107-2013.rows.public]\nvisual = { every = 'P1M' }", r"line 1, .*give source and basis"),
        (ROW + "visual = { every = '1 month' }", r"line 4, .*visual\.every: .*not an interval"),
        (ROW + "visual = { every = 'P1M', longest = 'P2M' }", r"line 4, .*give either every, or both"),
        (ROW + "visual = { shortest = 'P1M' }", r"line 4, .*longest: is missing"),
        (ROW + "visual = { shortest = 'P2M', longest = 'P1M' }", r"line 4, .*exchange them"),
        (ROW + "visual = { each = 'P2M' }", r"line 4, .*visual\.each: is not a key"),
        (ROW + "visual = 6", r"line 4, .*visual: must be “none needed”"),
        (ROW + "visual = { when = 'daily' }", r"line 4, .*when: must be a list"),
        (ROW + "colour = 'red'", r"line 4, .*colour: is not a key"),
        (ROW + "classes = ['4']", r"line 4, .*classes: “4” is not known; choose from 1, 2, 3"),
        (ROW + "environments = ['moon']", r"line 4, .*“moon” is no environment"),
        (ROW + "battery = 'yes'", r"line 4, .*battery: must be true or false"),
        ("[intervals.hsg107-2013.rows.public]\nsource = 's'\nbasis = 'rumour'", r"line 3, .*basis: must be one of published"),
        ("[intervals.own]\ntitle = 'x'\nedition = 'y'\nrows = 3", r"line 4, .*rows: must be a table"),
        ("[intervals.own]\nedition = 'y'", r"line 1, intervals\.own\.title: is missing"),
        (OWN + "[intervals.own.lengthening]\nerror_rate_below_percent = '2'", r"line 5, .*basis: must be one of"),
        (OWN + "lengthening = { error_rate_below_percent = 'two' }", r"line 5, .*must be a figure in quotes"),
    ],
)  # fmt: skip
def test_an_overlay_that_cannot_be_used_is_refused_with_file_line_and_key(text: str, sentence: str) -> None:
    with pytest.raises(InputRefused, match=sentence):
        load_interval_tables("gb", TomlText(name="house.toml", text=text))
