"""What was begun, or has failed, is asked for again: of which item, and what is left when a reading is taken away."""

import pytest
from msgspec.structs import replace

from appreg.core.judging.begun_checks import BEGUN, held_open, to_repeat
from appreg.core.judging.several_readings import parse_readings
from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, ItemFacts, RcdKind
from appreg.core.records.checks import Check, EarthEntry, Entries
from appreg.core.records.findings import Finding
from appreg.core.values.outcomes import CheckResult
from tests.core.taking_away import begun_in, without_check, without_reading
from tests.core.test_assumptions import GB, LAMP, ohms

EARTHED = replace(LAMP, appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE, assumed=())
DOUBLE = replace(EARTHED, appliance_class=ApplianceClass.CLASS_II)
LEAD = replace(EARTHED, equipment_type=EquipmentType.EXTENSION_LEAD)
OUT_OF_SCOPE = replace(EARTHED, connection=Connection.PLUG, scope="it is for medical use")


@pytest.mark.parametrize(
    ("facts", "check", "again"),
    [
        (EARTHED, Check.EARTH_CONTINUITY, True),
        (DOUBLE, Check.EARTH_CONTINUITY, False),
        (EARTHED, Check.LEAKAGE, True),
        (OUT_OF_SCOPE, Check.LEAKAGE, False),
        (EARTHED, Check.POLARITY, False),
        (LEAD, Check.POLARITY, True),
        (LEAD, Check.FUNCTIONAL, True),
        (OUT_OF_SCOPE, Check.FUNCTIONAL, False),
        (LEAD, Check.MICROWAVE, False),
        (EARTHED, Check.MICROWAVE, False),
        (EARTHED, Check.RCD_2X, False),
        (replace(LEAD, rcd=RcdKind.GENERAL), Check.RCD_5X, True),
    ],
)
def test_a_retest_takes_again_what_failed_and_still_applies_to_the_item(
    facts: ItemFacts, check: Check, *, again: bool
) -> None:
    assert to_repeat([check], facts, GB) == ({check: 1} if again else {})


def side_by_side() -> Entries:
    """Two readings of earth and two trips, as read."""
    earth, trips = parse_readings("0.05/0.07", Check.EARTH_CONTINUITY), parse_readings("20/24", Check.RCD_1X)
    assert earth[0] is not None
    return Entries(
        earth=EarthEntry(reading=earth[0]),
        rcd_trips={Check.RCD_1X: trips[0]},
        several={Check.EARTH_CONTINUITY: earth, Check.RCD_1X: trips},
        begun={Check.EARTH_CONTINUITY: 3},
    )


def test_a_check_taken_away_leaves_the_readings_of_the_others_and_what_was_ever_begun() -> None:
    left = without_check(side_by_side(), Check.EARTH_CONTINUITY)
    assert left.earth is None
    assert set(left.several) == {Check.RCD_1X}
    assert left.begun == {Check.EARTH_CONTINUITY: 3, Check.RCD_1X: 2}
    assert begun_in(left) == left.begun


def test_one_of_two_readings_taken_away_leaves_the_other_as_the_reading() -> None:
    left = without_reading(side_by_side(), Check.EARTH_CONTINUITY, 0)
    found = left.reading(Check.EARTH_CONTINUITY)
    assert found is not None
    assert found.typed == "0.07"


def finding(result: CheckResult, arithmetic: str) -> Finding:
    """A finding of earth continuity."""
    return Finding(
        check=Check.EARTH_CONTINUITY,
        reading="",
        unit="Ω",
        limit_low=None,
        limit_high=None,
        comparison="",
        result=result,
        arithmetic=arithmetic,
        source="",
        basis="",
    )


def test_a_check_that_was_never_begun_stays_as_it_was_found() -> None:
    found = finding(CheckResult.NOT_DONE, "not done")
    assert held_open(found, Entries()) == found


def test_a_check_once_begun_and_taken_away_says_why_it_is_asked_for() -> None:
    begun = Entries(begun={Check.EARTH_CONTINUITY: 1})
    assert held_open(finding(CheckResult.NOT_DONE, "not done"), begun).arithmetic == BEGUN
    assert held_open(finding(CheckResult.NOT_DONE, "0.1 Ω"), begun).arithmetic == f"0.1 Ω; {BEGUN}"


def test_fewer_readings_than_stood_before_pass_nothing() -> None:
    entries = Entries(earth=ohms("0.05"), begun={Check.EARTH_CONTINUITY: 2})
    held = held_open(finding(CheckResult.PASS, "0.1 Ω"), entries)
    assert (held.result, held.arithmetic) == (
        CheckResult.INCONCLUSIVE,
        "0.1 Ω; 2 readings stood side by side before, now 1: take all again",
    )
