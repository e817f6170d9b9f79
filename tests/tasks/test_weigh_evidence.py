"""What inspections of like items say of their intervals, and what accepting a suggestion does."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import Appliance, AssetTag, InspectionKind
from appreg.core.records.work_records import IntervalKind, IntervalOverride, OverrideScope
from appreg.core.values.periods import Period
from appreg.errors import InputRefused
from appreg.schedule.evidence import Advice
from appreg.schedule.interval_overrides import Signature
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.planning.accept_suggestion import accept_suggestion
from appreg.tasks.planning.group_like_items import EvidenceGrouping
from appreg.tasks.planning.override_interval import override_for_items, override_interval
from appreg.tasks.planning.weigh_evidence import EvidenceGroup, weigh_evidence
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from tests.evidence_site import MEASURED, PASSED, SEEN, fill
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

SIGNED = Signature(by="N. Holder", on=TODAY)


def group_of(here: WorkedSite, what: IntervalKind = IntervalKind.TEST, **asked: object) -> EvidenceGroup:
    groups = weigh_evidence(here.register, **asked)  # type: ignore[arg-type]
    (group,) = [each for each in groups if each.what is what]
    return group


def set_all(here: WorkedSite, items: list[Appliance], period: str, *, on: date) -> None:
    override_for_items(here.register, WHO, items=items, what=IntervalKind.TEST, period=period, reason="low wear", on=on)


def test_failures_seen_are_told_apart_from_those_measured(here: WorkedSite) -> None:
    fill(here, [SEEN, SEEN, MEASURED, *[PASSED] * 97])
    test, look = group_of(here), group_of(here, IntervalKind.VISUAL)
    assert (test.title, test.environment) == ("no category", "low risk: offices, shops, dwellings and the like")
    counts = test.evidence.counts
    assert (counts.inspections, counts.failures, counts.visual_failures, counts.electrical_failures) == (100, 3, 2, 1)
    assert counts.by_check == {"earth-continuity": 1, "visual": 2}
    assert (look.evidence.counts.inspections, look.evidence.counts.failures) == (200, 2)
    assert look.evidence.counts.by_check == {"visual": 2}
    assert [(year.year, year.inspections, year.failures) for year in test.years][:2] == [(2006, 5, 3), (2007, 5, 0)]


def test_enough_clean_inspections_suggest_the_next_longer_step_and_too_few_say_how_many_more(here: WorkedSite) -> None:
    fill(here, [PASSED] * 100)
    few = group_of(here)
    # 0 of n: (0.98^-n - 1) / (-n ln 0.98) passes 1 / 0.05 from n = 224 on (derived).
    assert (few.evidence.advice, few.suggestion, few.evidence.further_clean) == (Advice.TOO_LITTLE, None, 124)
    fill(here, [PASSED] * 124)
    enough = group_of(here)
    assert (enough.evidence.advice, enough.now, enough.suggestion) == (
        Advice.LENGTHEN,
        Period(months=12),
        Period(months=18),
    )
    assert enough.evidence.further_clean == 0


def test_too_many_failures_suggest_the_next_shorter_step(here: WorkedSite) -> None:
    # NCSL RP-1 A3: 94 good of 100 against a target of 98 % (derived): shorten.
    fill(here, [*[MEASURED] * 6, *[PASSED] * 94])
    group = group_of(here)
    assert (group.evidence.advice, group.suggestion) == (Advice.SHORTEN, Period(months=6))
    assert group_of(here, target=Decimal("0.05")).evidence.advice is not Advice.SHORTEN


def test_an_accepted_suggestion_becomes_an_override_with_the_numbers_and_nothing_else_does(here: WorkedSite) -> None:
    kettles = fill(here, [PASSED] * 225)
    here.record(kettles[0], combined(), here.visit(date(2026, 11, 24)))
    group = group_of(here)
    assert here.register.find(IntervalOverride) == []
    kept = accept_suggestion(here.register, WHO, group=group, by=EvidenceGrouping.CATEGORY, on=TODAY, reason="low wear")
    assert {each.target for each in kept} == {kettle.uid for kettle in kettles}
    assert {each.scope for each in kept} == {OverrideScope.APPLIANCE}
    assert {(each.period, each.author, each.on) for each in kept} == {("P18M", WHO, TODAY)}
    assert kept[0].reason.startswith("may be lengthened: 0 of 226 failed, 0.00 to 1.62 % with 95 % confidence")
    assert kept[0].reason.endswith("low wear")
    assert here.again(kettles[0]).next_test == date(2028, 5, 24)
    # The inspections were put in without settling their items, which is all that is wrong.
    assert {problem.column for problem in verify_register(here.register)} == {"last_outcome"}
    # Nothing that began before the day it was accepted says anything of it: no evidence is used twice.
    again = group_of(here)
    assert (again.now, again.suggestion) == (Period(months=18), None)
    assert (again.evidence.counts.inspections, again.evidence.counts.earlier) == (0, 226)


def test_a_suggestion_that_newer_inspections_no_longer_make_is_not_accepted(here: WorkedSite) -> None:
    kettles = fill(here, [PASSED] * 225)
    group = group_of(here)
    for kettle in kettles[:2]:
        here.record(kettle, combined(earth="0.9"))
    with pytest.raises(InputRefused, match="suggests no such interval"):
        accept_suggestion(here.register, WHO, group=group, by=EvidenceGrouping.CATEGORY, on=TODAY)
    assert here.register.find(IntervalOverride) == []


def test_a_longer_interval_is_not_forced_on_items_that_have_a_longer_one_already(here: WorkedSite) -> None:
    kettles = fill(here, [PASSED] * 300)
    override_interval(
        here.register,
        WHO,
        scope=OverrideScope.APPLIANCE,
        target=kettles[0].uid,
        what=IntervalKind.TEST,
        period="P3Y",
        reason="kept in a drawer",
        on=TODAY,
        signature=SIGNED,
    )
    (yearly, longer) = [each for each in weigh_evidence(here.register) if each.what is IntervalKind.TEST]
    assert [(each.now.words, len(each.items)) for each in (yearly, longer)] == [("1 year", 4), ("3 years", 1)]
    kept = accept_suggestion(here.register, WHO, group=yearly, by=EvidenceGrouping.CATEGORY, on=TODAY)
    assert {each.target for each in kept} == {kettle.uid for kettle in kettles[1:]}


def test_a_statute_caps_what_is_suggested(tmp_path: Path) -> None:
    with worked_site(tmp_path, landlord_profile="gb-scotland-private") as here:
        kettles = fill(here, [PASSED] * 240, items=24, months=60)
        for kettle in kettles:
            override_interval(
                here.register,
                WHO,
                scope=OverrideScope.APPLIANCE,
                target=kettle.uid,
                what=IntervalKind.TEST,
                period="P5Y",
                reason="low wear",
                on=date(1975, 1, 1),
                signature=Signature(by="N. Holder", on=date(1975, 1, 1)),
            )
        group = group_of(here)
        assert (group.evidence.advice, group.suggestion) == (Advice.LENGTHEN, None)
        assert group.held == "5 years is the longest by Scotland, private landlord"


def test_the_error_rate_rule_of_a_table_holds_back_what_the_limits_would_allow(here: WorkedSite) -> None:
    fill(here, [*[MEASURED] * 1, *[PASSED] * 49], months=6)
    eu = replace(here.site, rule_book="eu", interval_table="dguv-v3", environment="office")
    change_record(here.register, WHO, eu)
    group = group_of(here, target=Decimal("0.20"))
    # DGUV Vorschrift 3 (published): an error rate below 2 %; 1 of 50 is exactly 2 %.
    assert group.evidence.advice is Advice.LENGTHEN
    assert group.evidence.rule is not None
    assert not group.evidence.rule.may_lengthen
    assert group.suggestion is None
    assert group.held.startswith("the error rate is not below 2 %")
    fill(here, [PASSED] * 20, months=6)
    allowed = group_of(here, target=Decimal("0.20"))
    # Offices: 6 months is the guide value, 2 years the longest.
    assert (allowed.now, allowed.suggestion) == (Period(months=6), Period(months=12))


def test_like_items_are_of_one_category_or_type_in_one_environment(here: WorkedSite) -> None:
    hall = add_location(here.register, WHO, site=here.site.uid, name="Hall", environment="public")
    category = add_category(
        here.register,
        WHO,
        code="KTL",
        name="Kettles",
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE,
    )
    first, second, third = fill(here, [PASSED] * 30, items=3)
    change_record(here.register, WHO, replace(second, category=category.uid))
    change_record(here.register, WHO, replace(third, location=hall.uid, tag=AssetTag("X-1")))
    set_service_state(here.register, WHO, appliance=first.uid, state=ServiceState.DISPOSED)
    by_category = [
        (group.title, group.environment[:8], len(group.items), group.evidence.counts.inspections)
        for group in weigh_evidence(here.register)
        if group.what is IntervalKind.TEST
    ]
    assert by_category == [("Kettles", "low risk", 1, 10), ("no category", "used by ", 1, 10)]
    by_type = [
        (group.title, group.environment[:8], len(group.items), group.evidence.counts.inspections)
        for group in weigh_evidence(here.register, by=EvidenceGrouping.TYPE)
        if group.what is IntervalKind.TEST
    ]
    # The item disposed of gets no interval, but its inspections are evidence of its kind.
    assert by_type == [("portable", "low risk", 1, 20), ("portable", "used by ", 1, 10)]


def test_incomplete_withdrawn_and_corrected_inspections_are_no_evidence(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2025, 11, 24)))
    visit = here.visit()
    here.record(kettle, combined(earth=""), visit)
    wrong = here.record(kettle, combined(earth="0.9"), visit)
    here.record(kettle, combined(), visit, supersedes=wrong.inspection.uid, reason="wrong lead")
    here.record(kettle, Entries(visual=True), here.visit(), kind=InspectionKind.VISUAL)
    assert (group_of(here).evidence.counts.inspections, group_of(here).evidence.counts.failures) == (1, 0)
    look = group_of(here, IntervalKind.VISUAL).evidence.counts
    assert (look.inspections, look.first, look.long_after, look.too_soon) == (0, 1, 1, 1)
    assert look.left_out == ("1 first inspection, 1 too soon after the one before and 1 long after the interval")


@pytest.mark.parametrize(
    ("on", "counted"),
    [
        # 12 months from 24 November 2024 are 365 days: 273 are less than three quarters of them, 274 are more.
        (date(2025, 8, 24), "too_soon"),
        (date(2025, 8, 25), "inspections"),
        (date(2025, 11, 24), "inspections"),
        # 547 days are within one and a half times, 548 are not.
        (date(2026, 5, 25), "inspections"),
        (date(2026, 5, 26), "long_after"),
    ],
)
def test_an_inspection_counts_only_about_as_long_after_the_one_before_as_the_interval_lasts(
    here: WorkedSite, on: date, counted: str
) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2024, 11, 24)))
    here.record(kettle, combined(), here.visit(on))
    counts = group_of(here).evidence.counts
    kinds = ("inspections", "too_soon", "long_after")
    assert {kind: getattr(counts, kind) for kind in kinds} == {kind: int(kind == counted) for kind in kinds}


def test_a_retest_begins_the_interval_anew(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2023, 11, 24)))
    here.record(kettle, combined(earth="0.9"), here.visit(date(2024, 11, 24)))
    here.record(kettle, combined(), here.visit(date(2025, 5, 24)))
    here.record(kettle, combined(), here.visit(date(2026, 5, 24)))
    counts = group_of(here).evidence.counts
    assert (counts.inspections, counts.failures, counts.first, counts.retests) == (2, 1, 1, 1)


def test_four_acceptances_never_rest_on_the_same_inspections(here: WorkedSite) -> None:
    """Inspected every 18 months: that is within three quarters of 2 years, yet none was made to test 2 years."""
    kettles = fill(here, [PASSED] * 240, items=60, months=18)
    set_all(here, kettles, "P18M", on=date(2019, 1, 1))
    accept_suggestion(here.register, WHO, group=group_of(here), by=EvidenceGrouping.CATEGORY, on=TODAY)
    group = group_of(here)
    assert (group.now, group.suggestion) == (Period(months=24), None)
    assert (group.evidence.counts.inspections, group.evidence.counts.earlier) == (0, 240)
    with pytest.raises(InputRefused, match="suggests no such interval"):
        accept_suggestion(here.register, WHO, group=group, by=EvidenceGrouping.CATEGORY, on=TODAY)


@pytest.mark.parametrize(("on", "counted"), [(date(2024, 11, 24), True), (date(2024, 11, 25), False)])
def test_only_an_interval_that_began_after_it_was_set_counts(here: WorkedSite, on: date, counted: bool) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2023, 11, 24)))
    here.record(kettle, combined(), here.visit(date(2024, 11, 24)))
    here.record(kettle, combined(), here.visit(date(2025, 11, 24)))
    set_all(here, [kettle], "P13M", on=on)
    counts = group_of(here).evidence.counts
    assert (counts.first, counts.inspections, counts.earlier) == (1, int(counted), 2 - int(counted))


def test_like_items_at_different_intervals_are_weighed_apart(here: WorkedSite) -> None:
    kettles = fill(here, [PASSED] * 40, items=10)
    set_all(here, kettles[:3], "P18M", on=TODAY)
    tests = [group for group in weigh_evidence(here.register) if group.what is IntervalKind.TEST]
    assert [
        (group.now.words, len(group.items), group.evidence.counts.inspections, group.evidence.counts.earlier)
        for group in tests
    ] == [("1 year", 7, 28, 0), ("18 months", 3, 0, 12)]


def test_time_is_weighed_and_no_inspection_weighs_more_than_one_interval(here: WorkedSite) -> None:
    # 292 of 365 days are 0.8 of the interval; ten weigh as eight, and ten after 15 months as ten.
    sooner = [here.kettle() for _ in range(10)]
    later = [here.kettle() for _ in range(10)]
    first, second, third = (
        here.visit(date(2024, 11, 24)),
        here.visit(date(2025, 9, 12)),
        here.visit(date(2026, 2, 24)),
    )
    for kettle in (*sooner, *later):
        here.record(kettle, combined(), first)
        here.record(kettle, combined(), second if kettle in sooner else third)
    counts = group_of(here).evidence.counts
    assert (counts.inspections, counts.weighed) == (20, 18)


def test_first_inspections_and_retests_after_a_failure_are_left_out_and_told(here: WorkedSite) -> None:
    # 2 of 100 are 2.00 %, not below the 2 % of DGUV Vorschrift 3; with their retests counted they would be 1.96 %.
    fill(here, [MEASURED, MEASURED, *[PASSED] * 98])
    counts = group_of(here).evidence.counts
    assert (counts.inspections, counts.failures, counts.first, counts.retests) == (100, 2, 5, 2)
    assert counts.rate == 0.02
    assert counts.left_out == "5 first inspections and 2 retests after a failure"


@pytest.mark.parametrize("target", [Decimal(0), Decimal(1), Decimal(-1)])
def test_a_target_that_is_none_is_refused(here: WorkedSite, target: Decimal) -> None:
    here.kettle()
    with pytest.raises(InputRefused, match="between 0 and 100 %"):
        weigh_evidence(here.register, target=target)
