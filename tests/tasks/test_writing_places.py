"""Each machine writes a chain of its own, and goes on with it only in the very file where it wrote it."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Location
from appreg.core.records.seals import DocumentSeal, seal_at
from appreg.errors import InputRefused, RegisterUnusable
from appreg.register.engine.places import Place
from appreg.register.history.as_it_stood import as_it_stood
from appreg.register.journal.journal_ends import heads, journal_end
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.documents.issue_document import issue_register, print_again
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.keeping.copy_register import copy_register
from appreg.tasks.keeping.keep_chains import FILE_NAME, OwnChains
from appreg.tasks.keeping.merge_registers import merge_registers
from appreg.tasks.keeping.settle_contests import open_contests, settle
from appreg.tasks.keeping.verify_register import CONTAINED, verify_register, verify_with_seal
from appreg.tasks.records.change_record import change_record
from tests.register.older_registers import older_register
from tests.tasks.merged_desks import TODAY, Desk, School, add_kettle, first_desk, look, tables_of
from tests.tasks.test_merge_registers import sound, two_desks


def chains(desk: Desk) -> set[str]:
    with desk.open() as register:
        return set(heads(register.rows))


def rename(desk: Desk, school: School, name: str, item: int = 0) -> None:
    with desk.open() as register:
        change_record(register, "Ann", replace(register.get(Appliance, school.items[item].uid), name=name))


def test_a_machine_goes_on_with_the_chain_that_it_began(tmp_path: Path) -> None:
    desk, school = first_desk(tmp_path / "one")
    for name in ("a", "b", "c"):
        rename(desk, school, name)
    assert len(chains(desk)) == 1


def test_another_machine_and_a_copied_file_begin_a_chain_that_covers_what_was_there(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    with two.open() as register:
        before = journal_end(register.rows)
    rename(two, school, "elsewhere")
    rename(two, school, "again")
    assert len(chains(two)) == 2
    sound(two)
    with two.open() as register:
        end = journal_end(register.rows)
        assert end.line == before.line + 3  # what it has seen, and two changes: numbers go on
        assert end.origin == before.origin == register.origin
    one.path.rename(tmp_path / "moved")
    shutil.copyfile(tmp_path / "moved", one.path)
    rename(one, school, "in a copy")
    assert len(chains(one)) == 2


def test_an_older_content_put_into_the_same_file_begins_a_chain(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    rename(one, school, "lost")
    two.copied_to(one)  # the same file on the disk, with what was in it before
    rename(one, school, "after")
    assert len(chains(one)) == 2
    sound(one)


def test_a_machine_that_remembers_nothing_or_nonsense_begins_a_chain(tmp_path: Path) -> None:
    desk, school = first_desk(tmp_path / "one")
    rename(desk, school, "a")
    (desk.folder / "state" / "appreg" / FILE_NAME).write_bytes(b"\xff\0[1, {}]\n[[[[\n")
    rename(desk, school, "b")
    rename(desk, school, "c")
    assert len(chains(desk)) == 2
    sound(desk)


def test_reading_writes_nothing_and_begins_no_chain(tmp_path: Path) -> None:
    one, two, _school = two_desks(tmp_path)
    with two.open() as register:
        register.find(Appliance)
    assert not (two.folder / "state").exists()
    assert chains(two) == chains(one)


def test_lines_removed_after_they_were_seen_keep_anything_from_being_saved(tmp_path: Path) -> None:
    _one, two, school = two_desks(tmp_path)
    rename(two, school, "seen")
    with closing(sqlite3.connect(two.path)) as raw:
        raw.execute("DROP TRIGGER journal_no_delete")
        (own,) = raw.execute("SELECT origin FROM journal ORDER BY time DESC LIMIT 1").fetchone()
        last = raw.execute("SELECT max(sequence) FROM journal WHERE origin <> ?", (own,)).fetchone()[0]
        raw.execute("DELETE FROM journal WHERE origin <> ? AND sequence = ?", (own, last))
        raw.execute(
            "UPDATE register_meta SET value = (SELECT sequence || ' ' || hash FROM journal WHERE origin <> ? ORDER BY sequence DESC LIMIT 1) WHERE key LIKE 'head:%' AND key <> ?",
            (own, f"head:{own}"),
        )
        raw.commit()
    with pytest.raises(RegisterUnusable, match="was seen"):
        rename(two, school, "hidden")
    with two.open() as register:
        assert any("has seen line" in each.sentence for each in verify_register(register))


def test_a_seal_printed_before_still_verifies_and_a_document_is_the_same_after_a_merge(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    rename(one, school, "here")
    with one.open() as register:
        issued = issue_register(register, "Ann", Asked(site=school.site.uid), out=tmp_path / "first.pdf", today=TODAY)
    rename(two, school, "there")
    one.take_in(two)
    with one.open() as register:
        print_again(register, number=issued.document.number, out=tmp_path / "again.pdf")
        assert (tmp_path / "again.pdf").read_bytes() == (tmp_path / "first.pdf").read_bytes()
        asked = DocumentSeal(
            register=register.origin[-6:], seal=seal_at(issued.document.position, issued.document.head)
        )
        assert verify_with_seal(register, asked=asked).answer == CONTAINED


def test_what_was_removed_here_and_changed_there_comes_back(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    with one.open() as register, register.change("Ann") as change:
        for item in school.items:
            change.remove(register.get(Appliance, item.uid))
        change.remove(register.get(Location, school.location.uid))
    rename(two, school, "still there")
    with two.open() as register:
        add_kettle(register, school.site, school.location, "new")
    merged = one.take_in(two)
    assert set(merged.came_back) == {"appliance MS-001", "location Hall"}
    sound(one)
    two.take_in(one)
    sound(two)
    assert tables_of(one) == tables_of(two)
    with one.open() as register:
        assert sorted(each.name for each in register.find(Appliance)) == ["new", "still there"]


def test_one_tag_given_twice_is_kept_and_a_new_one_is_proposed(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    for desk in (one, two):
        with desk.open() as register:
            add_kettle(register, school.site, school.location, f"Lamp of {desk.folder.name}")
    merged = one.take_in(two)
    assert [(each.value, each.proposed) for each in merged.twice] == [("MS-004", ""), ("MS-004", "MS-005")]
    with one.open() as register:
        (_, later) = register.find(Appliance, tag="MS-004")
        with pytest.raises(InputRefused, match="already"), register.change("Ann") as change:
            change.put(replace(register.get(Appliance, school.items[0].uid), tag=later.tag))
        change_record(register, "Ann", replace(later, tag=merged.twice[1].proposed))
    assert one.take_in(two).twice == ()
    sound(one)


def test_a_chain_written_twice_keeps_both_branches_in_whichever_order(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    # As versions before did it: whoever had the file went on with its one chain.
    shutil.copytree(one.folder / "state", two.folder / "state")
    for desk in (one, two):
        with open_register(desk.path, clock=desk.clock) as register:
            change_record(register, desk.folder.name, replace(school.items[0], name=desk.folder.name))
    other = one.copied_to(Desk(tmp_path / "three"))
    assert len(one.take_in(two).forked) == 1
    assert len(two.take_in(other).forked) == 1
    for desk in (one, two):
        sound(desk)
    assert tables_of(one) == tables_of(two)
    assert {each for each in chains(one) if "~" in each} == {each for each in chains(two) if "~" in each}
    rename(one, school, "after")
    sound(one)
    assert two.take_in(one).contests == ()
    one.take_in(two)
    assert tables_of(one) == tables_of(two)


def test_a_trial_saves_nothing_and_a_damaged_or_the_same_register_is_refused(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    rename(two, school, "there")
    before = tables_of(one)
    assert one.take_in(two, only_tried=True).altered == {"appliance": 1}
    assert tables_of(one) == before
    with pytest.raises(InputRefused, match="name the other one"):
        one.take_in(one)
    with closing(sqlite3.connect(two.path)) as raw:
        raw.execute("UPDATE client SET name = 'Other'")
        raw.commit()
    with pytest.raises(RegisterUnusable, match="is not sound"):
        one.take_in(two)
    assert tables_of(one) == before


def test_a_contest_is_settled_by_keeping_what_stands(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    rename(one, school, "here")
    rename(two, school, "there")
    one.take_in(two)
    with one.open() as register:
        (contest,) = open_contests(register)
        settle(register, "Ann", contest, contest.stands)
        assert open_contests(register) == ()
        with pytest.raises(InputRefused, match="settled or changed meanwhile"):
            settle(register, "Ann", contest, contest.values[0])
    sound(one)
    assert two.take_in(one).contests == ()


def test_a_failure_stands_in_the_merged_register(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    with one.open() as register:
        look(register, school, school.items[0], passes=False)
    with two.open() as register:
        look(register, school, school.items[0], passes=True)
    for desk, other in ((one, two), (two, one)):
        desk.take_in(other)
        with desk.open() as register:
            item = register.get(Appliance, school.items[0].uid)
            assert (item.last_outcome, item.state) == ("fail", "withdrawn")
        sound(desk)


def test_a_register_of_an_older_version_is_taken_in_as_it_is(tmp_path: Path) -> None:
    desk, _school = first_desk(tmp_path / "one")
    older = Desk(tmp_path / "older")
    older.path = older_register("judged-16", older.folder)
    content = older.path.read_bytes()
    first = desk.take_in(older)
    assert first.new["inspection"] > 0
    assert older.path.read_bytes() == content
    assert desk.take_in(older).lines == 0
    sound(desk)


@pytest.mark.parametrize("place", ["server"], indirect=True)
def test_a_file_and_a_database_become_one(tmp_path: Path, place: Place) -> None:
    one, two, school = two_desks(tmp_path)
    with one.open() as register:
        copy_register(register, place)
    rename(two, school, "in the file")
    with open_register(place, create=False) as register:
        register.writing_place = OwnChains(one.environ)
        change_record(register, "Ann", replace(register.get(Appliance, school.items[0].uid), name="in the database"))
        merge_registers(register, "Ann", two.path, settings=Settings(), now=one.clock())
        assert len(open_contests(register)) == 1
        assert verify_register(register) == ()
        end = journal_end(register.rows)
        with as_it_stood(register, end.line, end.hash) as then:
            assert then.find(Appliance) == register.find(Appliance)
    with two.open() as register:
        merge_registers(register, "Ann", place, settings=Settings(), now=two.clock())
        assert verify_register(register) == ()
        assert len(open_contests(register)) == 1


def test_the_seal_that_verify_tells_is_of_the_last_line_whichever_chain_it_stands_in(tmp_path: Path) -> None:
    _one, two, school = two_desks(tmp_path)
    rename(two, school, "elsewhere")
    with two.open() as register:
        end = journal_end(register.rows)
        assert verify_with_seal(register).seal == seal_at(end.line, end.hash)
