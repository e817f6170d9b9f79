"""What a rule book says of one item is worked out once, and only for that item as its record writes it."""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from appreg.core.judging.verdicts import judge
from appreg.core.records.appliances import ApplianceClass, Cord, EquipmentType, Fact, ItemFacts
from appreg.core.records.checks import Check, Entries
from appreg.core.rules import check_rules
from appreg.core.rules.check_limits import limit_of
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.limits import Limit
from appreg.core.rules.required_checks import required_checks
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import CheckResult

GB = load_rule_book("gb")
KETTLE = ItemFacts(
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.PORTABLE,
    cord=Cord(csa_mm2=Decimal("1.0"), length_m=Decimal("2.0")),
    heating=True,
)


def test_the_rules_of_an_item_are_those_of_its_book() -> None:
    rules = CheckRules(KETTLE, GB)
    assert rules.required == required_checks(KETTLE, GB)
    for check in Check:
        limit, open_finding = limit_of(check, KETTLE, GB), rules.open_finding(check)
        assert rules.limit(check) == limit
        assert open_finding.result is CheckResult.NOT_DONE
        ends = (limit.low, limit.high) if isinstance(limit, Limit) else (None, None)
        assert (open_finding.limit_low, open_finding.limit_high) == ends


def test_a_limit_is_worked_out_once_for_an_item(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Check] = []

    def counted(check: Check, *_: object) -> Limit | None:
        asked.append(check)
        return None

    monkeypatch.setattr(check_rules, "limit_of", counted)
    rules = CheckRules(KETTLE, GB)
    for _ in range(3):
        rules.limit(Check.EARTH_CONTINUITY)
        rules.open_finding(Check.EARTH_CONTINUITY)
    assert asked == [Check.EARTH_CONTINUITY]


def test_two_items_of_equal_cords_each_have_the_arithmetic_as_their_record_writes_it() -> None:
    other = replace(KETTLE, cord=Cord(csa_mm2=Decimal(1), length_m=Decimal(2)))
    assert other == KETTLE
    told = [judge(facts, Entries(), GB).findings[1].arithmetic for facts in (KETTLE, other, KETTLE)]
    assert told[0] == told[2] != told[1]
    assert "× 2.0 m" in told[0]
    assert "× 2 m" in told[1]


def test_what_is_read_from_the_item_is_assumed_no_longer_and_the_rest_still_is() -> None:
    rules = CheckRules(replace(KETTLE, assumed=(Fact.CORD_LENGTH, Fact.HEATING)), GB)
    read = rules.without((Fact.HEATING,))
    assert read.facts.assumed == (Fact.CORD_LENGTH,)
    assert rules.without((Fact.HEATING,)) is read
    assert rules.without(()) is rules
    assert read == CheckRules(replace(KETTLE, assumed=(Fact.CORD_LENGTH,)), GB) != rules
