"""Limits read off by hand: each equals what the item itself would be judged by."""

from decimal import Decimal as D

import pytest

from appreg.core.rules.limit_tables import LENGTHS, earth_table, kind_limits, limit_shown
from appreg.core.rules.rule_book_loading import load_rule_book


def test_the_table_of_cords_gives_what_the_arithmetic_of_the_book_gives() -> None:
    """0.1 Ω and the cord's own resistance, 26.0 mΩ/m of 0.75 mm² (IEC 60228, class 5), as in the Code of Practice."""
    table = earth_table(load_rule_book("gb"))
    row = table.rows[table.sizes.index(D("0.75"))]
    for length, limit in zip(LENGTHS, row, strict=True):
        assert limit is not None
        assert limit.high == D("0.1") + D("0.026") * length
    assert limit_shown(table.unknown) == "≤ 0.1 Ω"


def test_a_longer_cord_never_has_the_stricter_limit_and_a_thicker_one_never_the_laxer() -> None:
    for book in ("gb", "eu", "anz"):
        highs = [[each.high if each else None for each in row] for row in earth_table(load_rule_book(book)).rows]
        for row in highs:
            known = [each for each in row if each is not None]
            assert known == sorted(known)
        for column in zip(*highs, strict=True):
            known = [each for each in column if each is not None]
            assert known == sorted(known, reverse=True)


@pytest.mark.parametrize(
    ("kind", "insulation", "leakage"),
    [
        ("Class I, hand-held", "≥ 1 MΩ", "≤ 0.75 mA"),
        ("Class I, IT", "≥ 1 MΩ", "≤ 3.5 mA"),
        ("Class II", "≥ 2 MΩ", "≤ 0.25 mA"),
    ],
)
def test_kinds_have_the_limits_of_the_code_of_practice(kind: str, insulation: str, leakage: str) -> None:
    """Code of Practice 4th ed., tables 15.2 and 15.3 (second-hand)."""
    found = {each.kind: each for each in kind_limits(load_rule_book("gb"))}[kind]
    assert (limit_shown(found.insulation), limit_shown(found.leakage)) == (insulation, leakage)
