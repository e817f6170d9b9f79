import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ItemFacts
from appreg.core.records.checks import Check
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.limits import Limit, NoLimit
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.rules.second_lines import LINE_OF, second_checks, second_limit
from tests.core.test_assumptions import GB


@pytest.mark.parametrize("check", LINE_OF)
def test_the_limit_of_a_second_line_is_in_the_unit_of_its_check(check: Check) -> None:
    limit = second_limit(check, GB)
    assert isinstance(limit, Limit)
    assert limit.unit is UNIT_OF_CHECK[check]
    assert limit.arithmetic.endswith(f" {limit.unit}")


@pytest.mark.parametrize("check", LINE_OF)
def test_a_book_without_the_figure_says_for_which_line_it_has_none(check: Check) -> None:
    limit = second_limit(check, replace(GB, figures={}))
    assert isinstance(limit, NoLimit)
    assert limit.reason == f"rule book gb gives no limit for {LINE_OF[check].words}"


def test_a_book_that_leaves_insulation_out_at_500_v_leaves_no_second_line_unmeasured() -> None:
    house = """
[required.left-out-unsuitable]
source = "House rules"
basis = "common practice"
value = ["insulation", "unearthed-insulation"]
"""
    item = ItemFacts(
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.IT,
        unsuitable_500v=True,
        unearthed_metal=True,
    )
    assert second_checks(item, GB) == {Check.UNEARTHED_CURRENT}
    assert second_checks(item, load_rule_book("gb", house, "house.toml")) == {Check.UNEARTHED_CURRENT}
