"""What is refused of a record names its field, whatever the sentence says and whatever texts stand in it."""

from decimal import Decimal
from pathlib import Path
from typing import Any, get_type_hints

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import AssetTag
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, asked_for
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.check_record import checked
from appreg.tasks.records.merge_changes import ChangedMeanwhile
from tests.register.sample_register import (
    CATEGORY,
    CLIENT,
    INSTRUMENT,
    KETTLE,
    LEAD,
    LOCATION,
    PERSON,
    SITE,
    VISIT,
    build_register,
)

_OTHER: Any = Uid("00000000000000000000000009")


@pytest.mark.parametrize(
    ("record", "field"),
    [
        (replace(CLIENT, name=""), "name"),
        (replace(CLIENT, agent_address="a\x1b"), "agent_address"),
        (replace(CLIENT, notes="n" * 5000), "notes"),
        (replace(SITE, name=""), "name"),
        (replace(SITE, prefix="-"), "prefix"),
        (replace(SITE, uid=_OTHER), "prefix"),
        (replace(SITE, rule_book="moon"), "rule_book"),
        (replace(SITE, interval_table="moon"), "interval_table"),
        (replace(SITE, environment="moon"), "environment"),
        (replace(SITE, landlord_profile="moon"), "landlord_profile"),
        (replace(LOCATION, name=""), "name"),
        (replace(LOCATION, uid=_OTHER, environment=""), "name"),
        (replace(LOCATION, environment="moon"), "environment"),
        (replace(CATEGORY, code="-"), "code"),
        (replace(CATEGORY, uid=_OTHER), "code"),
        (replace(CATEGORY, visual_items=("moon",)), "visual_items"),
        (replace(CATEGORY, fuse_a=Decimal(0)), "fuse_a"),
        (replace(KETTLE, tag=AssetTag("")), "tag"),
        (replace(KETTLE, tag=LEAD.tag), "tag"),
        (replace(KETTLE, feeds=KETTLE.uid), "feeds"),
        (replace(KETTLE, cord_length_m=Decimal(0)), "cord_length_m"),
        (replace(KETTLE, phases=2), "phases"),
        (replace(KETTLE, serial="\x07"), "serial"),
        (replace(KETTLE, assumed=("moon",)), "assumed"),
        (replace(PERSON, initials=""), "initials"),
        (replace(INSTRUMENT, serial=""), "serial"),
        (replace(INSTRUMENT, accuracy="good"), "accuracy"),
        (replace(INSTRUMENT, accuracy="charm: 2 %"), "accuracy"),
        (replace(VISIT, fixed_wiring_reference="\x07"), "fixed_wiring_reference"),
    ],
)
def test_a_refusal_of_a_record_names_the_field(record: Any, field: str, tmp_path: Path) -> None:
    with build_register(tmp_path / "r.appreg") as register, pytest.raises(InputRefused) as refusal:
        checked(register, record)
    assert refusal.value.field == field
    assert str(refusal.value).endswith(refusal.value.problem)


def test_what_another_desk_changed_names_the_field(tmp_path: Path) -> None:
    with build_register(tmp_path / "r.appreg") as register:
        change_record(register, "Ann", replace(CLIENT, notes="theirs"))
        with pytest.raises(ChangedMeanwhile) as refusal:
            change_record(register, "Sam", replace(CLIENT, notes="ours"), opened=CLIENT)
    assert refusal.value.field == "notes"


def test_the_nearest_name_of_what_was_asked_for_holds() -> None:
    with pytest.raises(InputRefused) as refusal, asked_for("site"), asked_for("prefix"):
        raise InputRefused("it is taken.", subject="site prefix")
    assert (str(refusal.value), refusal.value.problem, refusal.value.field) == (
        "site prefix: it is taken.",
        "it is taken.",
        "prefix",
    )


@pytest.mark.parametrize("record", [KETTLE, CATEGORY], ids=lambda record: type(record).__name__)
def test_no_figure_of_an_item_or_a_category_is_kept_below_nothing(record: Any, tmp_path: Path) -> None:
    held = {name: hint for name, hint in get_type_hints(type(record)).items() if name != "phases"}
    figures = [name for name, hint in held.items() if hint in (int, int | None, Decimal, Decimal | None)]
    assert len(figures) > 5
    with build_register(tmp_path / "r.appreg") as register:
        for name in figures:
            with pytest.raises(InputRefused, match=name.split("_", maxsplit=1)[0]) as refusal:
                checked(register, replace(record, **{name: -1}))
            assert refusal.value.field == name
