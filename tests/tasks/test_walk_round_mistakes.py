"""Items added by mistake are taken back; what was done with them since is not thrown away."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Site
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.add_walked_items import add_walked_items, take_back_items
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.list_sites import site_rules


@pytest.fixture
def lamps(tmp_path: Path) -> tuple[Register, tuple[Appliance, ...]]:
    register = open_register(tmp_path / "walk.appreg")
    client = add_client(register, "test", name="Quay Lets")
    site = add_site(register, "test", client=client.uid, name="Harbour Row", prefix="HR", environment="low-risk")
    room = add_location(register, "test", site=site.uid, name="hall")
    return register, add_walked_items(register, "test", location=room.uid, typed="3 lamp")


def test_taking_back_one_takes_back_all_of_its_line(lamps: tuple[Register, tuple[Appliance, ...]]) -> None:
    register, added = lamps
    take_back_items(register, "test", added[-1])
    assert register.find(Appliance) == []
    assert verify_register(register) == ()


def test_an_item_changed_since_is_kept_and_the_sentence_says_why(
    lamps: tuple[Register, tuple[Appliance, ...]],
) -> None:
    register, added = lamps
    change_record(register, "test", replace(added[0], make="Quarry"))
    with pytest.raises(InputRefused, match="has been changed since"):
        take_back_items(register, "test", added[-1])
    assert len(register.find(Appliance)) == 3


def test_the_rules_of_a_site_are_told_in_words(lamps: tuple[Register, tuple[Appliance, ...]]) -> None:
    register, added = lamps
    rules = site_rules(register.get(Site, added[0].site))
    assert rules.table == "hsg107-2013"
    assert "low risk" in rules.environment
    assert rules.duty == ""
