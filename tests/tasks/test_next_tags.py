"""A tag that a new item has lost again is not given to the next one."""

from typing import Any

import pytest
from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.values.asset_tags import prefix_from_name
from appreg.errors import InputRefused
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


def test_however_many_items_came_since_a_number_given_up_is_passed_over_and_those_above_it_are_not(
    walked: Walked,
) -> None:
    early = walked.add("3 kettle")
    walked.retag(early, "HR-005")
    walked.retag(early, "HR-9012")
    walked.retag(early, "HR-001B")
    for _ in range(3):
        walked.add("25 kettle")
    given = {item.tag for item in walked.register.find(Appliance)}
    assert given == {"HR-001", "HR-002", "HR-001B", *(f"HR-{number:03d}" for number in range(6, 81))}


def give_up_and_fail(walked: Walked, item: Appliance) -> None:
    with walked.register.change(WHO):
        walked.retag(item, "HR-002")
        walked.retag(item, "OLD 7")
        assert walked.offered == ("HR-003",)
        walked.retag(item, "")


def test_what_is_undone_with_a_change_gives_up_nothing(walked: Walked) -> None:
    item = walked.add("kettle")
    assert walked.offered == ("HR-002",)
    with pytest.raises(InputRefused):
        give_up_and_fail(walked, item)
    assert walked.offered == ("HR-002",)
    walked.retag(item, "OLD 8")
    assert walked.offered == ("HR-002",)


def test_a_letter_asks_the_database_no_more_after_many_changes_than_before(
    walked: Walked, monkeypatch: pytest.MonkeyPatch
) -> None:
    walked.add("kettle")
    asked: list[str] = []
    rows = walked.register.engine.rows

    def spy(statement: str, parameters: Any = ()) -> Any:
        asked.append(statement)
        return rows(statement, parameters)

    monkeypatch.setattr(walked.register.engine, "rows", spy)
    counts = []
    for turn in range(2):
        assert walked.offered
        asked.clear()
        assert walked.offered
        counts.append(len(asked))
        for number in range(12):
            walked.retag(walked.add("kettle"), f"OLD {turn} {number}")
    assert counts[0] == counts[1]
