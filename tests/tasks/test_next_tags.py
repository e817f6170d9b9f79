"""A tag that a new item has lost again is not given to the next one."""

import pytest
from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.values.asset_tags import prefix_from_name
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.add_walked_items import add_walked_items, preview_items, take_back_items
from appreg.tasks.records.change_record import change_record

WHO = "test"


class Walked(Struct, frozen=True):
    register: Register
    site: Site
    room: Location

    def add(self, typed: str, tag: str = "") -> Appliance:
        if tag:
            return add_walked_items(self.register, WHO, location=self.room.uid, typed=typed, tag=tag)[-1]
        return add_walked_items(self.register, WHO, location=self.room.uid, typed=typed)[-1]

    def retag(self, item: Appliance, tag: str) -> None:
        now = self.register.get(Appliance, item.uid)
        change_record(self.register, WHO, replace(now, tag=tag))

    @property
    def offered(self) -> tuple[str, ...]:
        return preview_items(self.register, self.room.uid, "kettle").tags


@pytest.fixture
def walked(place: Place) -> Walked:
    register = open_register(place)
    client = add_client(register, WHO, name="Harbour Lets")
    prefix = prefix_from_name("Harbour Row", ())
    site = add_site(register, WHO, client=client.uid, name="Harbour Row", prefix=prefix, environment="low-risk")
    return Walked(register, site, add_location(register, WHO, site=site.uid, name="kitchen"))


def test_a_tag_that_was_changed_is_not_handed_out_again(walked: Walked) -> None:
    walked.add("3 kettle")
    last = walked.add("toaster")
    assert last.tag == "HR-004"
    walked.retag(last, "OLD 7")
    assert walked.offered == ("HR-005",)
    fifth = walked.add("kettle")
    walked.retag(fifth, "OLD 8")
    walked.retag(fifth, "OLD 9")
    assert walked.offered == ("HR-006",)


def test_tags_of_ones_own_use_up_no_number(walked: Walked) -> None:
    walked.add("kettle")
    for number in range(25):
        walked.add("kettle", f"OLD {number}")
    assert walked.offered == ("HR-002",)


def test_a_line_taken_back_frees_its_number(walked: Walked) -> None:
    walked.add("kettle")
    take_back_items(walked.register, WHO, walked.add("kettle"))
    assert walked.offered == ("HR-002",)
