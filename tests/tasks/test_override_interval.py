"""Intervals set by hand: whom they reach, how long they may be, and what they do to the next dates."""

from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.kept_records import Appliance
from appreg.core.records.work_records import IntervalKind, IntervalOverride, OverrideScope
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.journal import history_of
from appreg.schedule.interval_overrides import Signature, override_words
from appreg.tasks.inspecting.open_bench import open_bench
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.planning.override_interval import (
    TakenBack,
    override_interval,
    overrides_reaching,
    take_back_overrides,
)
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.change_record import change_record
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

SEEN = date(2026, 6, 1)


def passed_kettle(here: WorkedSite, on: date = SEEN) -> Appliance:
    """A kettle that passed: HSG107, Class I, visual 6 months, test 1 year."""
    item = here.kettle()
    here.record(item, combined(), here.visit(on))
    return here.again(item)


def set_for(
    here: WorkedSite,
    target: Uid,
    period: str,
    *,
    scope: OverrideScope = OverrideScope.APPLIANCE,
    what: IntervalKind = IntervalKind.TEST,
    signed: bool = False,
    reason: str = "little used",
    author: str = "A. Brook",
    on: date = TODAY,
) -> IntervalOverride:
    return override_interval(
        here.register,
        WHO,
        scope=scope,
        target=target,
        what=what,
        period=period,
        reason=reason,
        on=on,
        author=author,
        signature=Signature(by="N. Holder", on=on) if signed else None,
    )


def test_an_interval_set_for_an_item_moves_its_date_and_is_journalled_with_its_author(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    other = passed_kettle(here)
    override = set_for(here, kettle.uid, "P18M")
    assert here.again(kettle).next_test == date(2027, 12, 1)
    assert here.again(kettle).next_visual == kettle.next_visual
    assert here.again(other) == other
    (entry,) = history_of(here.register, override.uid)
    assert (entry.who, entry.entity) == (WHO, "interval_override")
    assert entry.after
    assert entry.after["author"] == "A. Brook"
    assert verify_register(here.register) == ()


def take_back(here: WorkedSite, target: Uid, what: IntervalKind = IntervalKind.TEST) -> TakenBack:
    return take_back_overrides(here.register, WHO, targets=[target], what=what, reason="moved to the office")


def test_taking_back_the_only_one_lets_the_table_hold_again(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    override = set_for(here, kettle.uid, "P3M", what=IntervalKind.VISUAL)
    assert here.again(kettle).next_visual == date(2026, 9, 1)
    taken = take_back(here, kettle.uid, IntervalKind.VISUAL)
    assert (taken.gone, taken.back) == ((override,), ())
    assert taken.words == "The interval set by hand taken back; what holds again: as the table has it."
    assert here.again(kettle) == kettle
    assert here.register.find(IntervalOverride) == []
    assert take_back(here, kettle.uid, IntervalKind.VISUAL).gone == ()
    assert verify_register(here.register) == ()


def test_taking_back_lets_what_stood_before_hold_again_with_its_author_day_and_reason(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    first = set_for(here, kettle.uid, "P18M", reason="kept in a drawer", author="B. Reed", on=date(2026, 7, 1))
    second = set_for(here, kettle.uid, "P9M")
    third = set_for(here, kettle.uid, "P6M")
    set_for(here, kettle.uid, "P3M", what=IntervalKind.VISUAL)
    assert take_back(here, kettle.uid).back == (second,)
    taken = take_back(here, kettle.uid)
    assert (taken.gone, taken.back) == ((second,), (first,))
    assert taken.words == (
        "The interval set by hand taken back; what holds again: every 18 months, "
        "set for this item by B. Reed on 01 Jul 2026: kept in a drawer."
    )
    assert (first.author, first.reason) == ("B. Reed", "kept in a drawer")
    assert here.register.find(IntervalOverride, what=IntervalKind.TEST) == [first]
    assert here.again(kettle).next_test == date(2027, 12, 1)
    # What was put back is told by its first setting: the two never take turns.
    assert take_back(here, kettle.uid).back == ()
    assert here.register.find(IntervalOverride, uid=third.uid) == []
    assert here.again(kettle).next_test == kettle.next_test
    assert verify_register(here.register) == ()


def test_what_another_took_back_between_does_not_return(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    set_for(here, kettle.uid, "P18M")
    take_back(here, kettle.uid)
    set_for(here, kettle.uid, "P6M")
    assert take_back(here, kettle.uid).back == ()


def test_another_for_the_same_target_and_kind_takes_its_place(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    set_for(here, kettle.uid, "P18M")
    second = set_for(here, kettle.uid, "P6M")
    assert here.register.find(IntervalOverride) == [second]
    assert here.again(kettle).next_test == date(2026, 12, 1)


def test_the_items_own_comes_before_the_shorter_of_category_and_location(here: WorkedSite) -> None:
    category = add_category(
        here.register,
        WHO,
        code="KTL",
        name="Kettles",
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE,
    )
    kettle = passed_kettle(here)
    change_record(here.register, WHO, replace(kettle, category=category.uid))
    set_for(here, category.uid, "P18M", scope=OverrideScope.CATEGORY)
    assert here.again(kettle).next_test == date(2027, 12, 1)
    set_for(here, here.kitchen.uid, "P9M", scope=OverrideScope.LOCATION)
    assert here.again(kettle).next_test == date(2027, 3, 1)
    own = set_for(here, kettle.uid, "P2Y")
    assert here.again(kettle).next_test == date(2028, 6, 1)
    assert overrides_reaching(here.register, here.again(kettle)) == (own,)
    take_back(here, kettle.uid)
    assert here.again(kettle).next_test == date(2027, 3, 1)
    take_back(here, here.kitchen.uid)
    assert here.again(kettle).next_test == date(2027, 12, 1)
    assert [each.scope for each in here.register.find(IntervalOverride)] == [OverrideScope.CATEGORY]


def test_a_later_inspection_and_the_bench_follow_it(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    set_for(here, kettle.uid, "P3M")
    here.record(kettle, combined(), here.visit(date(2026, 11, 1)))
    assert here.again(kettle).next_test == date(2027, 2, 1)
    bench = open_bench(here.register, kettle.uid, today=TODAY)
    assert bench.dates_if_passed(here.record(kettle, combined()).inspection.kind).test == date(2027, 2, 24)


def test_the_due_list_says_who_set_it_and_why(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    set_for(here, kettle.uid, "P6M")
    (line,) = (line for line in list_due(here.register, today=TODAY).lines if line.what == "test")
    assert line.due == date(2026, 12, 1)
    assert line.because == "6 months, set for this item by A. Brook on 24 Nov 2026: little used"


def test_longer_than_a_statute_allows_is_refused_unless_a_duty_holder_signs(tmp_path: Path) -> None:
    with worked_site(tmp_path, landlord_profile="gb-england-social") as here:
        kettle = passed_kettle(here)
        # SI 2025/1043 (published): at least every 5 years.
        assert set_for(here, kettle.uid, "P5Y", signed=True).signed_by_duty_holder is False
        with pytest.raises(InputRefused, match=r"HR-001: 61 months .* longer than 2 years, .*duty holder sign"):
            set_for(here, kettle.uid, "P61M")
        with pytest.raises(InputRefused, match="HR-001"):
            set_for(here, here.kitchen.uid, "P6Y", scope=OverrideScope.LOCATION)
        assert here.again(kettle).next_test == date(2031, 6, 1)
        signed = set_for(here, kettle.uid, "P6Y", signed=True)
        assert (signed.signed_by, signed.signed_on, signed.signed_by_duty_holder) == ("N. Holder", TODAY, True)
        assert here.again(kettle).next_test == date(2032, 6, 1)


def test_longer_than_the_table_has_it_a_duty_holder_signs_with_name_and_day(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    # HSG107 (published): 1 to 2 years for a portable Class I item in an office.
    assert set_for(here, kettle.uid, "P2Y").signed_by == ""
    with pytest.raises(InputRefused, match=r"25 months .* longer than 2 years, the longest by .*duty holder sign"):
        set_for(here, kettle.uid, "P25M")
    signed = set_for(here, kettle.uid, "P3Y", signed=True)
    assert override_words(signed) == (
        "set for this item by A. Brook on 24 Nov 2026, signed by N. Holder on 24 Nov 2026: little used"
    )
    assert here.again(kettle).next_test == date(2029, 6, 1)


@pytest.mark.parametrize(
    ("by", "on", "sentence"), [(" ", TODAY, "say who signed"), ("N. Holder", date(2026, 11, 25), "is yet to come")]
)
def test_a_signature_has_a_name_and_a_day_that_has_been(here: WorkedSite, by: str, on: date, sentence: str) -> None:
    kettle = passed_kettle(here)
    with pytest.raises(InputRefused, match=sentence):
        override_interval(
            here.register,
            WHO,
            scope=OverrideScope.APPLIANCE,
            target=kettle.uid,
            what=IntervalKind.TEST,
            period="P3Y",
            reason="x",
            on=TODAY,
            signature=Signature(by=by, on=on),
        )


def test_one_set_before_the_statute_applied_is_cut_to_it_afterwards(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    set_for(here, kettle.uid, "P8Y", signed=True)
    set_for(here, kettle.uid, "P7Y", what=IntervalKind.VISUAL, signed=True)
    assert here.again(kettle).next_test == date(2034, 6, 1)
    change_record(here.register, WHO, replace(here.site, landlord_profile="gb-scotland-private"))
    assert here.again(kettle).next_test == date(2031, 6, 1)
    assert here.again(kettle).next_visual == date(2031, 6, 1)


def test_a_table_that_names_the_longest_interval_itself_is_kept_to(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    change_record(
        here.register, WHO, replace(here.site, rule_book="eu", interval_table="dguv-v3", environment="workshop")
    )
    # DGUV Vorschrift 3, table 1B (published): at most 1 year in workshops.
    assert set_for(here, kettle.uid, "P1Y").period == "P1Y"
    with pytest.raises(InputRefused, match="longer than 1 year"):
        set_for(here, kettle.uid, "P13M")


@pytest.mark.parametrize(
    ("period", "reason", "sentence"),
    [("6 months", "x", "ISO 8601"), ("P0D", "x", "no length"), ("P6M", " ", "say why"), ("P6M", "a\x1b[31m", "escape")],
)
def test_what_cannot_be_kept_is_refused_in_a_sentence_and_changes_nothing(
    here: WorkedSite, period: str, reason: str, sentence: str
) -> None:
    kettle = passed_kettle(here)
    with pytest.raises(InputRefused, match=sentence):
        override_interval(
            here.register,
            WHO,
            scope=OverrideScope.APPLIANCE,
            target=kettle.uid,
            what=IntervalKind.TEST,
            period=period,
            reason=reason,
            on=TODAY,
        )
    assert here.again(kettle) == kettle
    assert here.register.find(IntervalOverride) == []


def test_an_interval_may_ask_for_a_test_where_the_table_asks_for_none(here: WorkedSite) -> None:
    kettle = passed_kettle(here)
    lamp = change_record(here.register, WHO, replace(kettle, appliance_class=ApplianceClass.CLASS_II))
    assert lamp.next_test is None
    set_for(here, lamp.uid, "P2Y")
    assert here.again(lamp).next_test == date(2028, 6, 1)
