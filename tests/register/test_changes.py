import subprocess
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, AssetTag, Client, Location, Record, Site
from appreg.core.records.list_queries import only_words
from appreg.errors import InputRefused, NotFound
from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.history.journal import history_of
from appreg.register.lists.inspection_lists import inspections_of
from appreg.register.lists.search import search
from appreg.register.opening.register_file import Register, open_register
from tests.register.journal_alone import last_change
from tests.register.sample_register import (
    CATEGORY,
    CLIENT,
    DRAFT,
    EVERYTHING,
    FINDING,
    INSPECTION,
    ISSUED,
    KETTLE,
    LEAD,
    LOCATION,
    PRINTED,
    SITE,
    all_of,
    build_register,
    item,
    small_estate,
    uid,
)


def _lines(register: Register) -> int:
    return int(register.rows("SELECT count(*) FROM journal")[0][0])


def test_putting_an_equal_record_notes_nothing(place: Place) -> None:
    with build_register(place) as register:
        before = register.rows("SELECT * FROM register_meta ORDER BY key"), _lines(register)
        with register.change("Sam") as change:
            for record in EVERYTHING:
                change.put(record)
        assert (register.rows("SELECT * FROM register_meta ORDER BY key"), _lines(register)) == before


def test_an_update_notes_only_the_fields_that_changed(place: Place) -> None:
    with build_register(place) as register:
        with register.change("Ann", "moved") as change:
            change.put(replace(KETTLE, name="Big kettle", power_w=3000))
        row = register.rows('SELECT who, reason, entity, uid, "before", "after" FROM journal ORDER BY sequence DESC')[0]
    assert row == (
        "Ann", "moved", "appliance", KETTLE.uid, '{"name":"Kettle","power_w":null}',
        '{"name":"Big kettle","power_w":3000}',
    )  # fmt: skip


def test_a_failing_change_leaves_nothing_behind(place: Place) -> None:
    with build_register(place) as register:
        before = all_of(register)

        def fail() -> None:
            with register.change("Sam") as change:
                change.put(replace(CLIENT, name="Other"))
                change.put(Client(uid=change.new_uid(), name="New"))
                raise KeyError("stop")

        with pytest.raises(KeyError):
            fail()
        assert all_of(register) == before
        with register.change("Sam") as change:
            change.put(replace(CLIENT, name="Other"))
        assert list(problems(register)) == []


def test_a_change_inside_another_belongs_to_it(place: Place) -> None:
    with build_register(place) as register:
        with register.change("Sam", "outer") as outer:
            outer.put(replace(CLIENT, name="Other"))
            with register.change("Ann", "inner") as inner:
                inner.put(replace(SITE, name="Elsewhere"))
            assert inner is outer
        summary = last_change(register)
        assert summary is not None
        assert (summary.uid, summary.who, summary.lines) == (outer.uid, "Sam", 2)


def test_a_refusal_inside_a_change_can_be_answered_and_the_rest_is_saved(place: Place) -> None:
    with build_register(place) as register:
        with register.change("Sam") as change:
            with pytest.raises(InputRefused):
                change.put(replace(KETTLE, tag=LEAD.tag))
            change.put(replace(KETTLE, name="Jug"))
        assert register.get(Appliance, KETTLE.uid).name == "Jug"
        assert list(problems(register)) == []


def test_of_many_that_are_refused_none_is_left(place: Place) -> None:
    with build_register(place) as register:
        before = all_of(register)["journal"]
        with register.change("Sam") as change:
            change.put(replace(KETTLE, name="Jug"))
            with pytest.raises(InputRefused):
                change.put_many([Client(uid=change.new_uid(), name="New"), replace(KETTLE, tag=LEAD.tag)])
            change.put(replace(CLIENT, name="Other"))
        assert [client.name for client in register.find(Client)] == ["Other"]
        assert len(all_of(register)["journal"]) == len(before) + 2
        assert list(problems(register)) == []


@pytest.mark.parametrize(
    ("record", "sentence"),
    [
        (replace(KETTLE, uid=uid(90), tag=AssetTag("kl-001")), "tag is in the register already"),
        (replace(SITE, uid=uid(90), prefix="kl"), "prefix is in the register already"),
        (replace(CATEGORY, uid=uid(90), code="ket"), "code is in the register already"),
        (replace(DRAFT, uid=uid(90)), "has a draft on this visit already"),
        (replace(KETTLE, phases=2), "does not take that value for phases"),
        (replace(KETTLE, location=uid(91)), "one that is not there"),
        (replace(INSPECTION, remarks="other"), "is never changed"),
        (replace(FINDING, reading="0.1"), "is never changed"),
    ],
)
def test_what_the_register_cannot_take_is_said_in_one_sentence(record: Record, sentence: str, place: Place) -> None:
    with build_register(place) as register:
        before = _lines(register)
        with pytest.raises(InputRefused, match=sentence) as refusal, register.change("Sam") as change:
            change.put(record)
        assert str(refusal.value).count(".") == 1
        assert _lines(register) == before


def test_inspections_and_findings_are_never_removed(place: Place) -> None:
    with build_register(place) as register:
        for record in (INSPECTION, FINDING):
            with pytest.raises(InputRefused, match="never removed"), register.change("Sam") as change:
                change.remove(record)
        assert len(inspections_of(register, LEAD.uid)) == 2
        for kept, named in ((ISSUED, "issued document"), (PRINTED, "print job")):
            said = f"What was kept as {named} is never removed; it stays as it was"
            with pytest.raises(InputRefused, match=said), register.change("Sam") as change:
                change.remove(kept)


def test_a_record_that_others_belong_to_stays(place: Place) -> None:
    with build_register(place) as register:
        with pytest.raises(InputRefused, match="Other records belong to it"), register.change("Sam") as change:
            change.remove(LOCATION)
        assert register.find(Location) == [LOCATION]


def test_a_removed_record_is_gone_and_cannot_be_removed_again(place: Place) -> None:
    with build_register(place) as register:
        with register.change("Sam") as change:
            change.remove(DRAFT)
        assert register.find(type(DRAFT)) == []
        with pytest.raises(NotFound), register.change("Sam") as change:
            change.remove(DRAFT)


def _estate_records(register: Register, site: Site, count: int) -> list[Record]:
    records: list[Record] = []
    for number in range(count):
        records.append(item(register, site, f"S0-{number:05}", name=f"Lamp {number % 7}"))
        if number % 700 == 0:
            records.append(Client(uid=register.new_uid(), name=f"Owner {number}"))
    return records


def test_many_records_put_at_once_are_as_if_put_one_by_one(place: Place) -> None:
    with open_register(place) as register:
        (site,) = small_estate(register)
        records = _estate_records(register, site, 2500)
        told: list[int] = []
        with register.change("Sam", "import") as change:
            assert change.put_many(iter(records), progress=told.append) == len(records)
        changed = [replace(record, name="Torch") for record in records[:3] if isinstance(record, Appliance | Client)]
        again = [*changed, *records[3:], records[4]]
        with register.change("Sam", "import") as change:
            change.put_many(again)
        summary = last_change(register)
        assert summary is not None
        assert summary.lines == 3
        assert told[-1] == len(records)
        assert len(register.find(Appliance)) == 2500
        assert {found.name for found in search(register, only_words("torch"))} == {"Torch"}
        assert len(search(register, only_words("lamp 3"), limit=5000)) == len([n for n in range(3, 2500) if n % 7 == 3])
        assert list(problems(register)) == []


def test_many_updates_at_once_are_noted_each_for_itself(place: Place) -> None:
    with open_register(place) as register:
        (site,) = small_estate(register)
        items = [item(register, site, f"S0-{number:05}") for number in range(300)]
        with register.change("Sam") as change:
            change.put_many([*items, replace(items[7], name="Twice"), items[8]])
        moved = [replace(one, name="Torch", notes=f"{at}") for at, one in enumerate(items) if at % 3]
        with register.change("Sam", "rename") as change:
            change.put_many(moved)
            assert change.lines == len(moved)
        assert register.find(Appliance) == [
            replace(one, name="Torch", notes=f"{at}") if at % 3 else one for at, one in enumerate(items)
        ]
        assert history_of(register, items[7].uid)[-1].before == {"name": "Twice", "notes": ""}
        assert [entry.after for entry in history_of(register, items[8].uid)][1:] == [{"name": "Torch", "notes": "8"}]
        assert len(search(register, only_words("torch"), limit=500)) == len(moved)
        assert list(problems(register)) == []


def test_many_that_change_each_in_its_own_way_are_noted_in_their_order(place: Place) -> None:
    with open_register(place) as register:
        (site,) = small_estate(register)
        items = [item(register, site, f"S0-{number:05}") for number in range(90)]
        with register.change("Sam") as change:
            change.put_many(items)
        renamed = [
            replace(one, name="Torch") if at % 3 else replace(one, notes="=1+1", power_w=at)
            for at, one in enumerate(items)
        ]
        swapped = [replace(renamed[0], tag=items[1].tag), replace(renamed[1], tag=items[0].tag)]
        new = item(register, site, "S0-new")
        told = [*renamed, *swapped, new, replace(renamed[2], feeds=new.uid)]
        with register.change("Sam", "in bulk") as change:
            change.put_many(told)
            assert change.lines == len(told)
        lines = register.rows("SELECT uid FROM journal WHERE reason = 'in bulk' ORDER BY sequence")
        assert [key for (key,) in lines] == [each.uid for each in told]
        last = {each.uid: each for each in told}
        assert {each.uid: each for each in register.find(Appliance)} == last
        assert history_of(register, items[0].uid)[-1].after == {"tag": "S0-00001"}
        assert len(search(register, only_words("s0-00001"), limit=500)) == 1
        assert list(problems(register)) == []
        with pytest.raises(InputRefused, match="one that is not there"), register.change("Sam") as change:
            change.put_many([*(replace(each, notes="") for each in renamed[2:]), replace(new, feeds=uid(90))])
        assert {each.uid: each for each in register.find(Appliance)} == last


def test_bulk_writing_cannot_change_an_inspection_either(place: Place) -> None:
    with build_register(place) as register:
        with pytest.raises(InputRefused, match="never changed"), register.change("Sam") as change:
            change.put_many([KETTLE, replace(INSPECTION, remarks="other")])
        assert register.get(type(INSPECTION), INSPECTION.uid) == INSPECTION


def test_bulk_loading_that_fails_leaves_the_search_index_in_order(place: Place) -> None:
    with open_register(place) as register:
        (site,) = small_estate(register)
        records = _estate_records(register, site, 1500)
        with pytest.raises(InputRefused, match="tag is in the register"), register.change("Sam") as change:
            change.put_many([*records, item(register, site, "s0-00000")])
        assert register.find(Appliance) == []
        assert list(problems(register)) == []
        with register.change("Sam") as change:
            change.put(item(register, site, "S0-1", name="Heater"))
        assert [found.name for found in search(register, only_words("heat"))] == ["Heater"]


def test_a_save_into_a_file_loads_no_driver_of_another_database(tmp_path: Path) -> None:
    program = """
import sys
from pathlib import Path
from appreg.core.records.kept_records import Client
from appreg.register.opening.register_file import open_register
with open_register(Path(sys.argv[1])) as register, register.change("Sam") as change:
    change.put(Client(uid=change.new_uid(), name="Owner"))
print(sorted({"peewee", "psycopg"} & set(sys.modules)))
"""
    said = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path / "r.appreg")], capture_output=True, text=True, check=True
    )
    assert said.stdout == "['peewee']\n"
