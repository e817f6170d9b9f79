"""What two places left different is settled by a person: whole, and in words that tell one from another."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.errors import InputRefused
from appreg.register.history.contests import contests_in
from appreg.tasks.keeping.describe_merge import contest_line, merged_lines
from appreg.tasks.keeping.merge_registers import given_twice_in
from appreg.tasks.keeping.settle_contests import give_anew, open_contests, settle
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from tests.tasks.merged_desks import Desk, School, add_kettle, first_desk


def two_moves(folder: Path, *, both: bool) -> tuple[Desk, School, Site]:
    """Ann took a kettle to another site, Bea, later, to another room; with `both` to a third site."""
    one, school = first_desk(folder / "one")
    with one.open() as register:
        other, third = (
            add_site(register, "Ann", client=school.site.client, name=name, prefix=prefix, environment="public")
            for name, prefix in (("[red]Annexe", "AX"), ("Barn", "BN"))
        )
    two = one.copied_to(Desk(folder / "two", ahead=3))
    kettle = school.items[0]
    with one.open() as register:
        hut = add_location(register, "Ann", site=other.uid, name="Hut")
        change_record(register, "Ann", replace(kettle, site=other.uid, location=hut.uid))
    with two.open() as register:
        room = add_location(register, "Bea", site=third.uid if both else school.site.uid, name="Loft")
        change_record(register, "Bea", replace(kettle, site=room.site, location=room.uid))
    tried = one.take_in(two, only_tried=True)
    words = [words for _, words in merged_lines(tried, "two")]
    assert not any("removed since" in each for each in words)
    with one.open() as register:
        # After a trial the room of the other register is not here, and is called by its name all the same.
        (line,) = [contest_line(register, each, tried.names) for each in tried.contests]
        assert "1: Hut at [red]Annexe (Ann," in line
        assert f"2: Loft at {'Barn' if both else 'Moor School'} (Bea," in line
    other_way = Desk(folder / "other way")
    two.copied_to(other_way)
    other_way.take_in(one)
    one.take_in(two)
    for desk in (one, other_way):
        with desk.open() as register:
            # Nobody said yet which is meant, and no item stands in a room of another site.
            item = register.get(Appliance, kettle.uid)
            assert (item.site, register.get(Location, item.location).name) == (room.site, "Loft")
            assert verify_register(register) == ()
    return one, school, other


@pytest.mark.parametrize("both", [False, True])
@pytest.mark.parametrize("kept", [0, 1])
def test_whoever_settles_where_an_item_is_settles_its_site_too(tmp_path: Path, *, both: bool, kept: int) -> None:
    one, school, _ = two_moves(tmp_path, both=both)
    with one.open() as register:
        (contest,) = open_contests(register)
        assert contest.field == "location"
        settle(register, "Ann", contest, contest.values[kept])
        item = register.get(Appliance, school.items[0].uid)
        assert item.location == contest.values[kept].value
        assert register.get(Location, item.location).site == item.site
        assert contests_in(register) == ()


def test_a_site_that_is_meant_brings_the_location_that_was_said_with_it(tmp_path: Path) -> None:
    one, school, other = two_moves(tmp_path, both=True)
    with one.open() as register:
        (site,) = [each for each in contests_in(register) if each.field == "site"]
        settle(register, "Ann", site, site.values[0])
        item = register.get(Appliance, school.items[0].uid)
        assert (item.site, register.get(Location, item.location).site) == (other.uid, other.uid)
        assert contests_in(register) == ()


def test_what_is_given_twice_is_told_in_one_line_and_given_anew(tmp_path: Path) -> None:
    one, school = first_desk(tmp_path / "one")
    two = one.copied_to(Desk(tmp_path / "two", ahead=-3))
    for desk, name in ((one, "Łódź " * 60), (two, "[red]Other")):
        with desk.open() as register:
            add_kettle(register, school.site, school.location, name.strip())
    merged = one.take_in(two)
    (words,) = [words for what, words in merged_lines(merged, "two") if what == "given twice"]
    assert words.startswith("appliance MS-004 ([red]Other, Hall) and appliance MS-004 (Łódź")
    assert words.endswith("would be MS-005")
    assert len(words) < 300
    with one.open() as register:
        twice = given_twice_in(register)[1]
        with pytest.raises(InputRefused, match="MS-001"):
            give_anew(register, "Ann", twice.table, twice.uid, "MS-001")
        give_anew(register, "Ann", twice.table, twice.uid, "MS-077")
        assert given_twice_in(register) == ()
        with pytest.raises(InputRefused, match="stays as it is"):
            give_anew(register, "Ann", "issued_document", twice.uid, "4")
