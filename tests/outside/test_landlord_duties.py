"""What statutes ask of landlords, against the statutes and the guidance that repeats them."""

from datetime import date
from functools import partial

import pytest

from appreg.core.rules.interval_tables import RecordField
from appreg.core.rules.landlord_profiles import landlord_values, load_landlord_profiles
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from tests.outside.checked_values import Checked, case_name, cases

PROFILES = load_landlord_profiles("gb")

# Housing (Scotland) Act 2006 s. 19B(2)-(3) (published): what the record must state.
SCOTTISH_RECORD = {
    RecordField.DATE,
    RecordField.ADDRESS,
    RecordField.LANDLORD_OR_AGENT,
    RecordField.INSPECTOR_NAME,
    RecordField.INSPECTOR_ADDRESS,
    RecordField.INSPECTOR_QUALIFICATIONS,
    RecordField.APPLIANCE_DESCRIPTION,
    RecordField.APPLIANCE_LOCATION,
    RecordField.DEFECTS,
    RecordField.REMEDIAL_ACTION,
}

EXPECTED = {
    # Electricity at Work Regulations 1989 reg. 4(2) (published): no interval, no method.
    "landlords.gb-general.test_max": ("none fixed", "published"),
    # Housing (Scotland) Act 2006 ss. 19A-19B, Annex D3 of the statutory guidance (published).
    "landlords.gb-scotland-private.test_max": ("P5Y", "published"),
    "landlords.gb-scotland-private.keep_years": ("6", "published"),
    # SI 2025/1043, as the federation of English social landlords repeats it (published).
    "landlords.gb-england-social.test_max": ("P5Y", "published"),
    "landlords.gb-england-social.repair_days": ("28", "published"),
    "landlords.gb-england-social.dates.in-force": ("01 Nov 2025", "published"),
    "landlords.gb-england-social.dates.applies-to-tenancies-granted-before-1-December-2025": (
        "01 May 2026",
        "published",
    ),
    "landlords.gb-england-social.first_check_before": ("01 Nov 2026", "published"),
    # From memory: a copy is kept until the next check, at most five years on; the tenant of a new let is given it.
    "landlords.gb-england-social.keep_years": ("5", "memory"),
    "landlords.gb-england-social.before_tenancy": ("yes", "memory"),
    # Housing (Scotland) Act 2006 s. 19A (published): before a tenancy.
    "landlords.gb-scotland-private.before_tenancy": ("yes", "published"),
    # Scottish Housing Quality Standard (memory): the fixed installation; no figure for appliances is known.
    "landlords.gb-scotland-social.test_max": ("none fixed", "memory"),
    "landlords.gb-scotland-social.before_tenancy": ("yes", "memory"),
    # SI 2020/312 (second-hand): fixed installation only.
    "landlords.gb-england-private.test_max": ("none fixed", "second-hand"),
}


def agrees(key: str, book: RuleBook) -> None:
    held = {value.key: (value.value, value.citation.basis.value) for value in landlord_values(book.landlord_profiles)}
    assert held[key] == EXPECTED[key]


# From memory: what was inspected, where, by whom, what was found and what was done about it.
ENGLISH_RECORD = {
    RecordField.DATE,
    RecordField.ADDRESS,
    RecordField.LANDLORD_OR_AGENT,
    RecordField.INSPECTOR_NAME,
    RecordField.APPLIANCE_DESCRIPTION,
    RecordField.APPLIANCE_LOCATION,
    RecordField.DEFECTS,
    RecordField.REMEDIAL_ACTION,
}


def states_the_english_list(book: RuleBook) -> None:
    profile = book.landlord_profiles["gb-england-social"]
    assert set(profile.required_fields) == ENGLISH_RECORD
    assert profile.citation_of("required_fields").basis == "memory"


def states_the_list(book: RuleBook) -> None:
    assert set(book.landlord_profiles["gb-scotland-private"].required_fields) == SCOTTISH_RECORD


CHECKED = (
    *(
        Checked(
            book="gb",
            keys=(key,),
            expected=f"{key} is {value}",
            source="the statute named above",
            basis=basis,
            run=partial(agrees, key),
        )
        for key, (value, basis) in EXPECTED.items()
    ),
    Checked(
        book="gb",
        keys=("landlords.gb-scotland-private.required_fields",),
        expected="a Scottish record states the act's list",
        source="Housing (Scotland) Act 2006 s. 19B(2)-(3)",
        basis="published",
        run=states_the_list,
    ),
    Checked(
        book="gb",
        keys=("landlords.gb-england-social.required_fields",),
        expected="an English social landlord's record states what was found and done",
        source="SI 2025/1043, as remembered",
        basis="memory",
        run=states_the_english_list,
    ),
)


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_every_landlord_value_agrees_with_its_statute_and_carries_its_basis(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))


def test_a_scottish_record_must_state_what_the_act_lists_and_nothing_is_left_out() -> None:
    profile = PROFILES["gb-scotland-private"]
    assert set(profile.required_fields) == SCOTTISH_RECORD
    assert len(profile.required_fields) == len(SCOTTISH_RECORD)


def test_the_social_sector_duty_begins_on_its_published_days() -> None:
    assert date(2025, 11, 1) in PROFILES["gb-england-social"].dates.values()


@pytest.mark.parametrize("book", ["eu", "anz"])
def test_other_rule_books_have_no_landlord_profile(book: str) -> None:
    assert load_landlord_profiles(book) == {}


def test_what_is_from_memory_says_that_local_rules_come_first() -> None:
    remembered = [value for value in landlord_values(PROFILES) if value.citation.basis.value == "memory"]
    assert {value.key.split(".")[1] for value in remembered} == {"gb-england-social", "gb-scotland-social"}
    assert all("local rules come first" in value.citation.note for value in remembered)
    assert "memory" not in PROFILES["gb-england-social"].citation_of("repair_days").basis.value
