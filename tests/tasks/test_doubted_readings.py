"""A doubted reading passes nothing until a person says it was read so; the doubt and the answer are kept."""

import pytest

from appreg.core.judging.several_readings import parse_readings
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Unit, parse_reading
from appreg.tasks.inspecting.record_inspection import SavedInspection, record_inspection
from tests.tasks.worked_site import WHO, WorkedSite

CORD = "doubt the earth reading of 0.01 Ω: less than the cord itself has, 0.0208 Ω; clip on the plug's pin"
"""26 mΩ/m × 0.8 m (IEC 60228), one step of the display granted."""


def combined(earth: str) -> Entries:
    readings = parse_readings(earth, Check.EARTH_CONTINUITY)
    assert readings[0] is not None
    return Entries(
        visual=True,
        earth=EarthEntry(reading=readings[0]),
        insulation=InsulationEntry(reading=parse_reading(">299", Unit.MEGOHM)),
        functional=True,
        several={Check.EARTH_CONTINUITY: readings} if len(readings) > 1 else {},
    )


def kept(here: WorkedSite, entries: Entries, *read_so: str) -> SavedInspection:
    return record_inspection(
        here.register,
        WHO,
        appliance=here.kettle().uid,
        visit=here.visit().uid,
        kind=InspectionKind.COMBINED,
        entries=entries,
        read_so=read_so,
    )


@pytest.mark.parametrize("earth", ["0.00", "0.000", "0", "0.01/0.00", "0.00/0.08", "9 mΩ"])
def test_a_pass_on_a_doubted_reading_is_kept_as_incomplete(here: WorkedSite, earth: str) -> None:
    saved = kept(here, combined(earth))
    assert saved.inspection.outcome is Outcome.INCOMPLETE
    assert saved.label is None
    finding = next(each for each in saved.findings if each.check_name == Check.EARTH_CONTINUITY)
    assert finding.finding == CheckResult.INCONCLUSIVE
    assert "doubted and not confirmed" in finding.arithmetic
    assert all(each.endswith("; not confirmed") for each in saved.inspection.advice if each.startswith("doubt"))


def test_a_doubt_that_is_confirmed_passes_and_both_are_kept(here: WorkedSite) -> None:
    doubt = f"{CORD} (safe working, common practice)"
    saved = kept(here, combined("0.01/0.00"), doubt, doubt.replace("0.01", "0"))
    assert saved.inspection.outcome is Outcome.PASS
    assert [each for each in saved.inspection.advice if each.startswith("doubt")] == [
        f"{doubt}; confirmed: it was read so",
        f"{doubt.replace('0.01', '0')}; confirmed: it was read so",
    ]


def test_a_doubt_confirmed_of_another_reading_says_nothing_of_this_one(here: WorkedSite) -> None:
    saved = kept(here, combined("0.00"), f"{CORD} (safe working, common practice)")
    assert saved.inspection.outcome is Outcome.INCOMPLETE


def test_a_doubt_makes_no_failure_milder(here: WorkedSite) -> None:
    failed = kept(here, combined("0.00/0.8"))
    assert failed.inspection.outcome is Outcome.FAIL
