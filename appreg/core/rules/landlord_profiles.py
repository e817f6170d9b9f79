"""Loading of what statutes ask of landlords."""

from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import Any, Final

from appreg.core.rules.interval_table_loading import citation_from
from appreg.core.rules.interval_tables import LandlordProfile, RecordField
from appreg.core.rules.rule_values import Basis, RuleValue
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.periods import parse_period
from appreg.core.values.toml_places import TomlText, package_toml

BOOKS_WITH_PROFILES: Final = frozenset({"gb"})


@cache
def load_landlord_profiles(book_id: str) -> Mapping[str, LandlordProfile]:
    """The landlord profiles of a rule book by id; empty where it has none."""
    if book_id not in BOOKS_WITH_PROFILES:
        return {}
    text = package_toml(f"landlords-{book_id}.toml")
    return {key: _profile(key, raw, text) for key, raw in text.data["profiles"].items()}


def _profile(profile_id: str, raw: Mapping[str, Any], text: TomlText) -> LandlordProfile:
    dates, bases = raw.get("dates", {}), raw.get("bases", {})
    first = raw.get("first_check_before")
    if not all(isinstance(day, date) for day in (*dates.values(), first or date.min)):
        raise text.refused(("profiles", profile_id, "dates"), "must be dates such as 2026-11-01.")
    if not set(bases.values()) <= set(Basis):
        raise text.refused(("profiles", profile_id, "bases"), f"must be one of {', '.join(Basis)}.")
    return LandlordProfile(
        id=profile_id,
        title=raw["title"],
        test_max=None if raw["test_max"] == "none" else parse_period(raw["test_max"]),
        required_fields=tuple(RecordField(name) for name in raw.get("required_fields", ())),
        keep_years=raw.get("keep_years"),
        repair_days=raw.get("repair_days"),
        before_tenancy=raw.get("before_tenancy", False),
        first_check_before=first,
        dates=dates,
        bases={name: Basis(basis) for name, basis in bases.items()},
        citation=citation_from(raw, ("profiles", profile_id), text.refused),
    )


def landlord_values(profiles: Mapping[str, LandlordProfile]) -> tuple[RuleValue, ...]:
    """Every value of the profiles as one flat list, keys `landlords.PROFILE.VALUE`."""
    return tuple(value for profile in profiles.values() for value in _values_of(profile))


def _values_of(profile: LandlordProfile) -> list[RuleValue]:
    def value(key: str, title: str, shown: object, unit: str = "") -> RuleValue:
        return RuleValue(
            key=f"landlords.{profile.id}.{key}",
            title=title,
            value=str(shown),
            unit=unit,
            condition=profile.title,
            citation=profile.citation_of(key.partition(".")[0]),
        )

    values = [value("test_max", "Longest interval for appliances", profile.test_max or "none fixed")]
    if profile.required_fields:
        fields = ", ".join(name.label for name in profile.required_fields)
        values.append(value("required_fields", "The record must state", fields))
    if profile.keep_years is not None:
        values.append(value("keep_years", "A copy is kept", profile.keep_years, "years"))
    if profile.repair_days is not None:
        values.append(value("repair_days", "Unsafe items repaired or replaced within", profile.repair_days, "days"))
    if profile.before_tenancy:
        values.append(value("before_tenancy", "A new tenancy asks for an inspection first", "yes"))
    if profile.first_check_before is not None:
        values.append(value("first_check_before", "First checks before", date_words(profile.first_check_before)))
    for what, day in profile.dates.items():
        key = what.replace(" ", "-")
        values.append(value(f"dates.{key}", what[0].upper() + what[1:], date_words(day)))
    return values
