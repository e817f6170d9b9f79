import sqlite3
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.records.kept_records import AssetTag
from appreg.core.records.list_queries import only_words
from appreg.register.engine.dialect import phrase_query
from appreg.register.engine.places import Place
from appreg.register.lists.search import search
from appreg.register.opening.register_file import Register, open_register
from tests.hostile_names import HOSTILE_NAMES
from tests.register.sample_register import item, small_estate


@pytest.fixture(scope="module")
def shop(shared_place: Place) -> Iterator[Register]:
    register = open_register(shared_place)
    (site,) = small_estate(register)
    with register.change("Sam") as change:
        for tag, name, fields in (
            ("KL-017", "Extension lead", {"make": "Ownmake", "serial": "AB/123"}),
            ("KL-018", "Kettle", {"model": "Öre 100%"}),
            ("KL-117", "Angle grinder", {"make": "Ownmake"}),
            ("KL", "Κολλητήρι", {"model": "паяльник"}),
            ("X-001", 'Grinder "small" OR NOT', {}),
        ):
            change.put(item(register, site, tag, name=name, **fields))
    yield register
    register.close()


@pytest.mark.parametrize(
    ("typed", "tags"),
    [
        ("KL-0", ["KL-017", "KL-018"]),
        ("kl-017", ["KL-017"]),
        ("kl 017", ["KL-017"]),
        ("kl17", ["KL-017"]),
        ("KL017", ["KL-017"]),
        ("x1", ["X-001"]),
        ("kl7", []),
        ("kl", ["KL", "KL-017", "KL-018", "KL-117"]),
        ("ext", ["KL-017"]),
        ("ext ownm", ["KL-017"]),
        ("ownmake grind", ["KL-117"]),
        ("ore", ["KL-018"]),
        ("κολ", ["KL"]),
        ("ПАЯ", ["KL"]),
        ("k", ["KL", "KL-017", "KL-018", "KL-117"]),
        ("AB/123", ["KL-017"]),
        ("ttle", ["KL-018"]),
        ("%", ["KL-018"]),
        ('"', ["X-001"]),
        ("OR NOT", ["X-001"]),
        ("NOT", ["X-001"]),
        ("_", []),
        ("", []),
        ("   ", []),
        ("\0", []),
        (" \0 \0", []),
        ("kettle lead", []),
        ("nothing of the kind", []),
    ],
)
def test_words_are_found_as_people_type_them(typed: str, tags: list[str], shop: Register) -> None:
    assert [found.tag for found in search(shop, only_words(typed))] == tags


def test_no_more_is_given_than_asked_for(shop: Register) -> None:
    assert [found.tag for found in search(shop, only_words("kl"), limit=2)] == ["KL", "KL-017"]


@given(st.text(max_size=40) | st.text('"*^:(){}-+ ORANDNEAR\0\\%_', max_size=20))
def test_no_query_however_odd_upsets_the_search(shop: Register, typed: str) -> None:
    for found in search(shop, only_words(typed)):
        assert found.tag


@pytest.mark.parametrize("typed", HOSTILE_NAMES)
def test_a_hostile_name_is_only_a_word(typed: str, shop: Register) -> None:
    search(shop, only_words(typed))


@given(st.text(max_size=40))
def test_a_query_is_always_quoted(typed: str) -> None:
    raw = sqlite3.connect(":memory:")
    raw.execute("CREATE VIRTUAL TABLE t USING fts5(x)")
    query = phrase_query(typed)
    if query:
        raw.execute("SELECT * FROM t WHERE t MATCH ?", (query,)).fetchall()
    raw.close()


def test_the_index_follows_a_change_of_name_and_a_removal(place: Place) -> None:
    with open_register(place) as register:
        (site,) = small_estate(register)
        lamp = item(register, site, "S0-1", name="Lamp")
        with register.change("Sam") as change:
            change.put(lamp)
        renamed = type(lamp)(
            **{name: getattr(lamp, name) for name in lamp.__struct_fields__}
            | {"name": "Torch", "tag": AssetTag("S0-2")}
        )
        with register.change("Sam") as change:
            change.put(renamed)
        assert search(register, only_words("lamp")) == []
        assert search(register, only_words("torch")) == [renamed]
        with register.change("Sam") as change:
            change.remove(renamed)
        assert search(register, only_words("torch")) == []
