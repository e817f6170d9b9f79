"""Tags stand in the order of their numbers in every list that the register gives, and everywhere else in the same."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.records.list_queries import only_words
from appreg.core.values.asset_tags import tag_order
from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.due_lists import never_inspected
from appreg.register.lists.row_windows import ordered_rowids, uids_by_rowid
from appreg.register.lists.search import search
from appreg.register.opening.register_file import Register, open_register
from tests.register.sample_register import item, small_estate

TAGS = ("KL-002", "KL-010", "KL-998", "KL-999", "KL-1000", "KL-1001", "KL-10000")


def test_a_thousand_and_first_item_stands_behind_the_thousandth(place: Place) -> None:
    with open_register(place) as register:
        (site,) = small_estate(register)
        with register.change("Sam") as change:
            change.put_many([item(register, site, tag) for tag in reversed(TAGS)])
        assert tuple(each.tag for each in appliances_of(register)) == TAGS
        assert tuple(each.tag for each in appliances_of(register, site=site.uid)) == TAGS
        assert tuple(each.tag for each in search(register, only_words("kettle"))) == TAGS


def _lists(register: Register, site: Site) -> dict[str, list[str]]:
    tags = {each.uid: each.tag for each in register.find(Appliance)}
    return {
        "all": [each.tag for each in appliances_of(register)],
        "site": [each.tag for each in appliances_of(register, site=site.uid)],
        "never": [each.tag for each in never_inspected(register)],
        "found": [each.tag for each in search(register, only_words("kettle"))],
        "seats": [tags[uid] for uid in uids_by_rowid(register, ordered_rowids(register))],
    }


@pytest.mark.parametrize(
    "tags",
    [
        ("B2-3", "B10-3"),
        ("7", "12", "A", "a2", "A10"),
        ("R1", "R01", "R2"),
        ("1.2.9", "1.2.10", "1.10.1"),
        ("é1", "É2", "é10"),
        ("Ω2", "Ω10", "[red]3", "[red]12"),
    ],
)
def test_numbers_anywhere_in_a_tag_count_as_numbers(tags: tuple[str, ...], place: Place) -> None:
    with open_register(place) as register:
        (site,) = small_estate(register)
        with register.change("Sam") as change:
            for tag in reversed(tags):
                change.put(item(register, site, tag))
        expected = sorted(tags, key=tag_order)
        assert _lists(register, site) == dict.fromkeys(_lists(register, site), expected)
        assert list(problems(register)) == []


_TAG = st.text(st.sampled_from("Bb-019. Zé٣Ω"), min_size=1, max_size=9)


@settings(max_examples=15, deadline=None)
@given(tags=st.lists(_TAG, unique_by=lambda tag: tag.lower(), min_size=2, max_size=12))
def test_the_register_sorts_as_the_screens_do(tags: list[str], new_place: Callable[[], Place]) -> None:
    with open_register(new_place()) as register:
        (site,) = small_estate(register)
        with register.change("Sam") as change:
            change.put_many([item(register, site, tag) for tag in tags])
        assert [each.tag for each in appliances_of(register)] == sorted(tags, key=tag_order)
        assert [tag for (tag,) in register.rows("SELECT tag FROM appliance ORDER BY tag_key DESC")] == sorted(
            tags, key=tag_order, reverse=True
        )
