"""Tags stand in the order of their numbers in every list that the register gives."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.asset_tags import tag_order
from appreg.register.appliance_lists import appliances_of
from appreg.register.register_file import Register, open_register
from appreg.register.search import search
from appreg.register.tag_sorting import by_tag, by_tag_columns, tag_columns
from tests.register.sample_register import item, small_estate

TAGS = ("KL-002", "KL-010", "KL-998", "KL-999", "KL-1000", "KL-1001", "KL-10000")


def test_a_thousand_and_first_item_stands_behind_the_thousandth(tmp_path: Path) -> None:
    with open_register(tmp_path / "r.appreg") as register:
        (site,) = small_estate(register)
        with register.change("Sam") as change:
            change.put_many([item(register, site, tag) for tag in reversed(TAGS)])
        assert tuple(each.tag for each in appliances_of(register)) == TAGS
        assert tuple(each.tag for each in appliances_of(register, site=site.uid)) == TAGS
        assert tuple(each.tag for each in search(register, "kettle")) == TAGS


@pytest.fixture(scope="module")
def register(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Register]:
    with open_register(tmp_path_factory.mktemp("r") / "r.appreg") as register:
        yield register


@given(
    numbers=st.lists(st.tuples(st.sampled_from(["A", "B1-", "HR-"]), st.integers(0, 99_999)), unique=True, max_size=40)
)
def test_sqlite_sorts_as_the_screens_do(register: Register, numbers: list[tuple[str, int]]) -> None:
    tags = [f"{prefix}{number:03}" for prefix, number in numbers]
    values = " UNION ALL ".join(["SELECT ? AS tag"] * len(tags)) or "SELECT '' AS tag WHERE 0"
    asked = {
        "plain": f"SELECT tag FROM ({values}) ORDER BY {by_tag()}",
        "columns": f"SELECT tag, {tag_columns()} FROM ({values}) ORDER BY {by_tag_columns()}",
    }
    for statement in asked.values():
        assert [row[0] for row in register.rows(statement, tags)] == sorted(tags, key=tag_order)
    backwards = f"SELECT tag FROM ({values}) ORDER BY {by_tag(descending=True)}"
    assert [row[0] for row in register.rows(backwards, tags)] == sorted(tags, key=tag_order, reverse=True)
