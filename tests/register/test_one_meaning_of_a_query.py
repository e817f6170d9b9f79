"""A query means the same in the register and on rows in memory: each is tried against the other."""

import random
from collections.abc import Callable, Iterator
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.kept_records import Appliance, AssetTag, Category, Location, Site
from appreg.core.records.list_queries import ITEM_KEYS, parse_query
from appreg.core.records.searched_rows import answering
from appreg.core.values.outcomes import Outcome
from appreg.errors import QueryRefused
from appreg.register.engine.places import Place
from appreg.register.lists.place_names import PlaceNames
from appreg.register.lists.row_windows import uids_by_rowid
from appreg.register.lists.search import search, seats_answering
from appreg.register.opening.register_file import Register, open_register
from appreg.schedule.searched_items import searched_item
from tests.register.sample_register import CATEGORY, KETTLE, LOCATION, SITE, small_estate

TODAY = date(2026, 11, 24)
NAMES = ("Kettle", "Steel kettle", "Extension lead", "Öre lamp", "паяльник", "100% fan", "Failsafe relay", "Oak saw")
MAKES = ("", "Arden", "Own make", "Ünal", "oak & co")
ROOMS = ("Plant room", "Kitchen", "Room 7", "Oak hall")
SITES = (("Oak House", "OH"), ("Quay", "Q1"), ("Old oak mill", "KL"))
WHOLE = st.sampled_from(
    [
        "kettle",
        "kett",
        "ettl",
        "own",
        "mak",
        "ore",
        "öre",
        "ÖRE",
        "паяльник",
        "fail",
        "failed",
        "pass",
        "never",
        "inspected",
        "withdrawn",
        "service",
        "in",
        "oak",
        "saw",
        "plant",
        "room",
        "7",
        "07",
        "oh",
        "q1",
        "kl",
        "kl-0",
        "kl7",
        "KL-017",
        "0",
        "%",
        "_",
        "&",
        "100%",
        "saf",
        '"',
        "'",
        "\\",
        ":",
        "incomplete",
        "miss",
        "ard",
    ]
)
VALUES = st.sampled_from(
    ["kettle", "k", "oak", "room", '"plant', 'room"', '"oak', 'hall"', "own", "ünal", "fail", "pass", "never", "withdrawn", "serv", "over", "soon", "i", "II", "2", "hand", "portable", "kl17", "kl-0", "q", "<30", ">0", "<=-5", "=7", "30", ">=10", "ettl", "akehal", "%", "s", '"plant room"', '"own make"', '"oak h"']
)  # fmt: skip
PARTS = WHOLE | st.tuples(st.sampled_from(ITEM_KEYS), VALUES).map(":".join)
QUERIES = st.lists(PARTS, max_size=4).map(" ".join)


def _estate(register: Register) -> None:
    chance = random.Random(7)
    (first,) = small_estate(register)
    sites = [replace(SITE, uid=register.new_uid(), client=first.client, name=name, prefix=own) for name, own in SITES]
    rooms = [replace(LOCATION, uid=register.new_uid(), site=site.uid, name=name) for site in sites for name in ROOMS]
    kinds = [
        replace(CATEGORY, uid=register.new_uid(), code=code, name=name)
        for code, name in (("KTL", "Kettle"), ("OAK", "Saw bench"))
    ]
    with register.change("Sam") as change:
        change.put_many([*sites, *rooms, *kinds])
        change.put_many(_item(register, rooms, kinds, number, chance) for number in range(90))


def _item(
    register: Register, rooms: list[Location], kinds: list[Category], number: int, chance: random.Random
) -> Appliance:
    room = chance.choice(rooms)

    def day() -> date | None:
        return chance.choice([None, TODAY + timedelta(days=chance.randrange(-40, 60))])

    outcome = chance.choice([None, *Outcome])
    return replace(
        KETTLE,
        uid=register.new_uid(),
        tag=AssetTag(f"{chance.choice(['KL-0', 'KL-', 'Q1.', 'oak '])}{number}"),
        site=room.site,
        location=room.uid,
        category=chance.choice([None, *(kind.uid for kind in kinds)]),
        name=chance.choice(NAMES),
        make=chance.choice(MAKES),
        model=chance.choice(["", "K2", "Oak 7"]),
        serial=chance.choice(["", "4711", "KL-017"]),
        appliance_class=chance.choice([*ApplianceClass]),
        equipment_type=chance.choice([*EquipmentType]),
        state=chance.choice([*ServiceState]),
        last_outcome=outcome,
        last_date=None if outcome is None else TODAY - timedelta(days=100),
        next_visual=day(),
        next_test=day(),
    )


@pytest.fixture(scope="module")
def estate(shared_place: Place) -> Iterator[Register]:
    with open_register(shared_place) as register:
        _estate(register)
        yield register


@pytest.fixture(scope="module")
def in_memory(estate: Register) -> Callable[[str], set[str]]:
    sites = {each.uid: each for each in estate.find(Site)}
    rooms = {each.uid: each for each in estate.find(Location)}
    kinds = {each.uid: each for each in estate.find(Category)}
    rows = [
        (each.uid, searched_item(each, site=sites[each.site], location=rooms[each.location], category=kinds[each.category] if each.category else None))
        for each in estate.find(Appliance)
    ]  # fmt: skip

    def asked(text: str) -> set[str]:
        return {uid for uid, _ in answering(rows, parse_query(text, today=TODAY), lambda row: row[1])}

    return asked


def in_sql(register: Register, text: str) -> set[str]:
    query, names = parse_query(text, today=TODAY), PlaceNames.of(register)
    seats = seats_answering(register, query, names) or seats_answering(register, query, names, anywhere=True)
    assert len(seats) == len(set(seats))
    return set(uids_by_rowid(register, seats))


@given(text=QUERIES)
def test_the_register_and_rows_in_memory_answer_alike(
    text: str, estate: Register, in_memory: Callable[[str], set[str]]
) -> None:
    try:
        expected = in_memory(text)
    except QueryRefused:
        return
    assert in_sql(estate, text) == expected
    if parse_query(text, today=TODAY):
        assert {each.uid for each in search(estate, parse_query(text, today=TODAY), limit=1000)} == expected


@pytest.mark.parametrize(
    "text",
    [
        "fail",
        "withdrawn",
        "plant",
        "oak kettle",
        "site:oak state:withdrawn",
        "due:<30 outcome:pass",
        'location:"plant room" class:I',
        "category:kettle make:own",
        "kl 17",
        "state:overdue",
        "never",
        "ettl site:oak",
    ],
)
def test_what_is_asked_most_finds_some_and_not_all(
    text: str, estate: Register, in_memory: Callable[[str], set[str]]
) -> None:
    found = in_sql(estate, text)
    assert 0 < len(found) < 90
    assert found == in_memory(text)
