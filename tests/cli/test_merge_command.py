"""`appreg merge`: another copy taken in, what is contested listed and settled."""

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from appreg.clock import Instant
from appreg.core.records.kept_records import Appliance
from appreg.register.opening.register_file import open_register
from appreg.tasks.keeping.keep_chains import OwnChains
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.seed_categories import seed_categories
from tests.cli.conftest import Call
from tests.postgres_server import of_a_file
from tests.tasks.merged_desks import Desk, add_kettle, first_desk
from tests.tasks.worked_site import WorkedSite


@of_a_file("the other copy is a file")
def test_a_copy_is_taken_in_and_what_it_contests_is_settled(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    other, (item, *_) = tmp_path / "other.sqlite", row.register.find(Appliance)
    with closing(sqlite3.connect(row.register.path)) as source, closing(sqlite3.connect(other)) as target:
        source.backup(target)
    with open_register(other, create=False, clock=lambda: Instant((row.register.last_instant() or 0) + 1)) as register:
        register.writing_place = OwnChains({"XDG_STATE_HOME": str(tmp_path / "elsewhere"), "HOME": str(tmp_path)})
        change_record(register, "Bea", replace(item, make="[red]Mill"))
    assert call("fault", "HR-003", "cord cut").code == 0
    change_record(row.register, "Ann", replace(row.register.get(Appliance, item.uid), make="Kiln"))
    tried: Any = call("merge", other, "--dry-run", "--json").json
    assert (tried["saved"], tried["people"], len(tried["contests"])) == (False, {"Bea": 1}, 1)
    assert row.register.get(Appliance, item.uid).make == "Kiln"
    taken = call("merge", other)
    assert taken.code == 1
    assert "written by: Bea 1 change" in taken.out
    assert "1: [red]Mill (Bea" in taken.out
    (contest,) = tried["contests"]
    assert f"kept before: {row.register.place}" in taken.out
    shown: Any = call("show", item.tag, "--json").json
    assert shown["from_elsewhere"] == ["make contested: [red]Mill (Bea) or Kiln (Ann): to be settled."]
    assert shown["from_elsewhere"][0] in call("show", item.tag).out
    refused = call("merge", "--settle", contest["contest"], "--keep", "3")
    assert "has the values 1 to 2" in refused.err
    settled = call("merge", "--settle", contest["contest"], "--keep", "1")
    said = f"settled: make of {contest['called']} is [red]Mill\nNothing is to be settled."
    assert (settled.code, settled.out.strip()) == (0, said)
    assert row.register.get(Appliance, item.uid).make == "[red]Mill"
    assert call("merge", other).out.startswith(f"{other} holds nothing that is not here already")
    assert call("verify").code == 0


@of_a_file("the other copy is a file")
def test_another_text_a_new_tag_and_alike_categories_are_settled_without_the_screen(tmp_path: Path, call: Call) -> None:
    one, school = first_desk(tmp_path / "one", items=2)
    two = one.copied_to(Desk(tmp_path / "two", ahead=-3))
    for desk, who in ((one, "Ann"), (two, "Bea")):
        with desk.open() as register:
            seed_categories(register, who)
            change_record(register, who, replace(school.items[0], make=f"[red]{who}"))
            change_record(register, who, replace(school.items[1], power_w=10 * ord(who[0])))
            add_kettle(register, school.site, school.location, f"Kettle of {who}")
    here = ("--register", one.path)
    taken = call(*here, "merge", two.path)
    assert taken.code == 1
    assert (
        "given twice: appliance MS-003 (Kettle of Bea, Hall) and appliance MS-003 (Kettle of Ann, Hall); a new"
        in taken.out
    )
    assert "categories here twice, the same in everything; they may be taken as one" in taken.out
    listed: Any = call(*here, "merge", "--contests", "--json").json
    marks = {each["field"]: each["contest"] for each in listed["contests"]}
    assert set(marks) == {"make", "power_w"}
    (first, again) = listed["given_twice"]
    assert (first["proposed"], again["proposed"]) == ("", "MS-004")
    assert len(listed["alike"]) > 20
    assert all(len(each["keys"]) == 2 for each in listed["alike"])
    for words, refusal in (
        ((marks["power_w"], "--value", "5"), "is no text"),
        ((again["contest"], "--keep", "1"), "given twice, and has no values"),
        ((again["contest"], "--value", "MS-001"), "MS-001"),
        ((again["contest"], "--value", "x", "--keep", "1"), "give one of the two"),
        (("none", "--keep", "1"), "nothing that is to be settled is called none"),
    ):
        refused = call(*here, "merge", "--settle", *words)
        assert (refused.code, refusal in refused.err) == (2, True), refused.err
    assert call(*here, "merge", "--settle", marks["make"], "--value", "Kiln & Mill").code == 1
    assert call(*here, "merge", "--settle", marks["power_w"], "--keep", "2").code == 1
    assert call(*here, "merge", "--settle", again["contest"], "--value", again["proposed"]).code == 0
    joined = call(*here, "merge", "--join-alike")
    assert joined.code == 0
    assert joined.out.splitlines()[0].endswith("categories went into those that are alike.")
    assert joined.out.splitlines()[1] == "Nothing is to be settled."
    with one.open() as register:
        assert register.get(Appliance, school.items[0].uid).make == "Kiln & Mill"
        assert [each.tag for each in register.find(Appliance, tag="MS-003")] == ["MS-003"]
    assert call(*here, "verify").code == 0
