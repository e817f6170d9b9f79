import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import AssetTag, Location
from appreg.register.engine.places import Place
from appreg.register.lists.appliance_lists import appliance_by_tag, appliances_of, last_number, tags_taken
from appreg.register.lists.inspection_lists import findings_of
from appreg.register.opening.register_file import open_register
from tests.register.sample_register import (
    FINDING,
    INSPECTION,
    KETTLE,
    LEAD,
    LOCATION,
    SECOND_FINDING,
    SITE,
    build_register,
    item,
    small_estate,
)


def test_a_tag_is_found_in_capitals_or_not(place: Place) -> None:
    with build_register(place) as register:
        assert appliance_by_tag(register, "kl-001") == KETTLE
        assert appliance_by_tag(register, "KL-001") == KETTLE
        assert appliance_by_tag(register, "KL-00%") is None
        assert appliance_by_tag(register, "") is None


def test_appliances_are_listed_by_place_and_state_in_the_order_of_tags(place: Place) -> None:
    with build_register(place) as register:
        assert appliances_of(register) == [KETTLE, LEAD]
        assert appliances_of(register, SITE.uid, LOCATION.uid) == [KETTLE, LEAD]
        assert appliances_of(register, site=SITE.uid, states={ServiceState.WITHDRAWN}) == [LEAD]
        assert appliances_of(register, states=()) == []
        with register.change("Sam") as change:
            attic = Location(uid=change.new_uid(), site=SITE.uid, name="Attic")
            change.put(attic)
            change.put(replace(KETTLE, location=attic.uid))
        assert [found.tag for found in appliances_of(register, location=attic.uid)] == ["KL-001"]


@pytest.mark.parametrize(
    ("prefix", "number"), [("S0", 1234), ("s0", 1234), ("S", 0), ("S0-1", 0), ("X%", 7), ("KL", 0), ("", 0)]
)
def test_the_last_number_of_a_prefix_counts_only_its_own_tags(prefix: str, number: int, place: Place) -> None:
    with open_register(place) as register:
        (site,) = small_estate(register)
        with register.change("Sam") as change:
            for tag in ("S0-001", "s0-1234", "S0-99", "S0-12a", "S0-", "S01-777", "S0-99999999999999999999", "X%-007"):
                change.put(item(register, site, tag))
        assert last_number(register, prefix) == number


def test_tags_already_taken_are_told_apart_from_free_ones(place: Place) -> None:
    with build_register(place) as register:
        assert tags_taken(register, ["kl-001", "KL-002", "KL-003"]) == {"kl-001", "KL-002"}
        assert tags_taken(register, [AssetTag(f"X-{number}") for number in range(1200)]) == set()


def test_the_findings_of_an_inspection_stand_in_the_order_of_its_checks(place: Place) -> None:
    with build_register(place) as register:
        assert findings_of(register, INSPECTION.uid) == [FINDING, SECOND_FINDING]
