"""A site handed over: what is in the file, what is not, and how it comes back."""

import os
import re
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Location, Site, Visit
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, RegisterUnusable
from appreg.register.engine.places import Place
from appreg.register.journal.journal_chain import COLUMNS, row_hash
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import JOURNALLED
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.documents.issue_document import issue_register, print_again
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.items.show_item import show_item
from appreg.tasks.keeping.hand_over import HandedOver, hand_over
from appreg.tasks.keeping.keep_chains import note_made_here
from appreg.tasks.keeping.merge_registers import Merged, merge_registers
from appreg.tasks.keeping.seal_with_passphrase import decrypted
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from tests.tasks.merged_desks import TODAY, WAYS, Desk, School, add_kettle, edit, first_desk, look

NAMES = ("Secret & Sons", "Hidden Works", "HWQZX", "Vault 7", "Quiet Lathe", "behind the tank", "Key Keeper")


MOVED = date(2026, 9, 21)
"""The day of the desks' clocks."""


def with_another_client(desk: Desk) -> set[str]:
    """A second client with a site of its own, and an item that was inspected; all that tells of it."""
    with desk.open() as register:
        before = keys_of(register)
        client = add_client(register, "Ann", name=NAMES[0], notes=NAMES[6])
        site = add_site(register, "Ann", client=client.uid, name=NAMES[1], prefix=NAMES[2], environment="public")
        place = add_location(register, "Ann", site=site.uid, name=NAMES[3])
        item = add_appliance(
            register, "Ann", site=site.uid, location=place.uid, name=NAMES[4],
            appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE, notes=NAMES[5],
        )  # fmt: skip
        visit = start_visit(
            register, "Ann", site=site.uid, on=TODAY, person=register.rows("SELECT uid FROM person")[0][0]
        )
        record_inspection(
            register,
            "Ann",
            appliance=item.uid,
            visit=visit.uid,
            kind=InspectionKind.VISUAL,
            entries=Entries(visual=True),
        )
        return (keys_of(register) - before) | {*NAMES, item.tag}


def keys_of(register: Register) -> set[str]:
    return {
        str(uid) for table in JOURNALLED if table not in {"person", "category", "instrument"}
        for (uid,) in register.rows(f'SELECT uid FROM "{table}"')  # noqa: S608 - our own names
    }  # fmt: skip


def handed(desk: Desk, site: Site, out: Path, passphrase: str = "") -> HandedOver:
    with desk.open() as register:
        return hand_over(register, "Ann", site.uid, out, passphrase=passphrase)


def sound(path: Path) -> None:
    with open_register(path, create=False) as register:
        assert verify_register(register) == ()


def new_desk(folder: Path, ahead: int = 0) -> Desk:
    desk = Desk(folder, ahead=ahead)
    with open_register(desk.path, clock=desk.clock) as register:
        note_made_here(register, desk.environ)
    return desk


def take_in(desk: Desk, file: Path) -> Merged:
    with desk.open() as register:
        return merge_registers(register, "Own", file, settings=Settings(), now=desk.clock())


def told_of(path: Path, site: Uid) -> dict[str, object]:
    """All that a register has of the items of a site."""
    with open_register(path, create=False) as register:
        return {
            "items": [repr(item).split(",") for item in register.find(Appliance, site=site)],
            "inspections": register.rows(
                "SELECT * FROM inspection WHERE appliance IN (SELECT uid FROM appliance WHERE site = ?) ORDER BY uid",
                (site,),
            ),
        }


@pytest.fixture
def two_clients(tmp_path: Path) -> tuple[Desk, School, set[str]]:
    desk, school = first_desk(tmp_path / "giver")
    hidden = with_another_client(desk)
    with desk.open() as register:
        look(register, school, school.items[0], passes=True)
        look(register, school, school.items[1], passes=False)
    return desk, school, hidden


def test_a_file_holds_the_site_is_sound_and_is_only_read(
    two_clients: tuple[Desk, School, set[str]], tmp_path: Path
) -> None:
    desk, school, _ = two_clients
    out = tmp_path / "moor.appreg"
    told = handed(desk, school.site, out)
    assert told.file.records["appliance"] == 3
    assert told.file.records["inspection"] == 2
    assert told.file.records["site"] == told.file.records["client"] == 1
    sound(out)
    sound(desk.path)
    assert told_of(out, school.site.uid)["inspections"] == told_of(desk.path, school.site.uid)["inspections"]
    before = out.read_bytes()
    with open_register(out, create=False) as register, pytest.raises(RegisterUnusable, match="appreg merge"):
        change_record(register, "Ann", replace(register.get(Site, school.site.uid), name="Other"))
    assert out.read_bytes() == before


def test_no_byte_of_the_file_tells_of_another_client(
    two_clients: tuple[Desk, School, set[str]], tmp_path: Path
) -> None:
    desk, school, hidden = two_clients
    out = tmp_path / "moor.appreg"
    handed(desk, school.site, out)
    assert [name for name in hidden if _is_in(name, out.read_bytes())] == []
    # The same look at the whole register finds each of them.
    with closing(sqlite3.connect(desk.path)) as whole:
        whole.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert [name for name in hidden if not _is_in(name, desk.path.read_bytes())] == []


def _is_in(name: str, content: bytes) -> bool:
    return re.search(rb"(?<![A-Za-z])" + re.escape(name.encode()) + rb"(?![A-Za-z])", content) is not None


def test_it_goes_into_a_register_of_its_own_and_comes_back_with_what_was_done_there(
    two_clients: tuple[Desk, School, set[str]], tmp_path: Path
) -> None:
    desk, school, hidden = two_clients
    handed(desk, school.site, tmp_path / "out.appreg")
    owner = new_desk(tmp_path / "owner", ahead=1)
    take_in(owner, tmp_path / "out.appreg")
    sound(owner.path)
    with owner.open() as register:
        item = register.get(Appliance, school.items[2].uid)
        change_record(register, "Own", replace(item, make="Kiln & Co"))
        look(register, school, school.items[2], passes=True)
        add_kettle(register, school.site, school.location, "Owner's own")
    with desk.open() as register:
        change_record(register, "Ann", replace(register.get(Appliance, school.items[0].uid), notes="meanwhile"))
    handed(owner, school.site, tmp_path / "back.appreg")
    sound(tmp_path / "back.appreg")
    take_in(desk, tmp_path / "back.appreg")
    sound(desk.path)
    with desk.open() as register:
        assert register.get(Appliance, school.items[2].uid).make == "Kiln & Co"
        assert register.get(Appliance, school.items[0].uid).notes == "meanwhile"
        assert len(register.find(Inspection)) == 4
        assert len(register.find(Appliance)) == 5
    # A year later it goes out again, and both have the same of the site.
    handed(desk, school.site, tmp_path / "again.appreg")
    assert [name for name in hidden if _is_in(name, (tmp_path / "again.appreg").read_bytes())] == []
    take_in(owner, tmp_path / "again.appreg")
    sound(owner.path)
    assert told_of(owner.path, school.site.uid) == told_of(desk.path, school.site.uid)
    assert take_in(owner, tmp_path / "again.appreg").lines == 0


def test_a_line_altered_between_sealed_ones_is_found(
    two_clients: tuple[Desk, School, set[str]], tmp_path: Path
) -> None:
    desk, school, _ = two_clients
    out = tmp_path / "moor.appreg"
    handed(desk, school.site, out)
    with closing(sqlite3.connect(out, isolation_level=None)) as file:
        names = ", ".join(f'"{name}"' for name in COLUMNS)
        line = next(
            line
            for line in file.execute(f"SELECT {names} FROM journal WHERE entity = 'appliance' ORDER BY sequence")  # noqa: S608
            if file.execute("SELECT 1 FROM journal WHERE sequence = ? AND entity = 'sealed'", (line[1] + 1,)).fetchone()
        )
        altered = [*line]
        altered[3] = "Somebody Else"
        for (name,) in file.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'journal'"
        ).fetchall():
            file.execute(f"DROP TRIGGER {name}")
        file.execute(
            "UPDATE journal SET who = ?, hash = ? WHERE origin = ? AND sequence = ?",
            (altered[3], row_hash(altered), line[0], line[1]),
        )
        file.execute("UPDATE journal SET previous_hash = ? WHERE previous_hash = ?", (row_hash(altered), line[-1]))
    with open_register(out, create=False) as register:
        assert any("handed over" in problem.sentence for problem in verify_register(register))


def test_no_line_of_a_register_of_its_own_may_be_sealed(two_clients: tuple[Desk, School, set[str]]) -> None:
    desk, _, _ = two_clients
    with closing(sqlite3.connect(desk.path, isolation_level=None)) as file:
        file.execute("DROP TRIGGER journal_no_update")
        file.execute(
            "UPDATE journal SET time = '', who = '', reason = '', entity = 'sealed', uid = '', before = NULL, after = NULL, "
            "change = '' WHERE sequence = (SELECT max(sequence) - 1 FROM journal)"
        )
    with open_register(desk.path, create=False) as register:
        assert any("is sealed, though" in problem.sentence for problem in verify_register(register))


def test_what_was_at_another_clients_before_comes_without_its_past(
    two_clients: tuple[Desk, School, set[str]], tmp_path: Path
) -> None:
    desk, school, hidden = two_clients
    with desk.open() as register:
        other = next(site for site in register.find(Site) if site.uid != school.site.uid)
        moved = register.find(Appliance, site=other.uid)[0]
        change_record(
            register, "Ann", replace(moved, site=school.site.uid, location=school.location.uid, tag="MS-099", name="Lathe",
            notes=""),
        )  # fmt: skip
        look(register, school, moved, passes=True)
    told = handed(desk, school.site, tmp_path / "out.appreg")
    assert told.file.left_out["inspection"] == 2
    sound(tmp_path / "out.appreg")
    sound(desk.path)
    content = (tmp_path / "out.appreg").read_bytes()
    assert [name for name in hidden - {moved.uid} if _is_in(name, content)] == []
    with open_register(tmp_path / "out.appreg", create=False) as register:
        item = register.get(Appliance, moved.uid)
        assert item.tag == "MS-099"
        # Nothing that could be a pass came along.
        assert item.last_outcome is None
        assert item.last_inspection is None
    owner = new_desk(tmp_path / "owner")
    take_in(owner, tmp_path / "out.appreg")
    sound(owner.path)
    handed(owner, school.site, tmp_path / "back.appreg")
    take_in(desk, tmp_path / "back.appreg")
    sound(desk.path)
    with desk.open() as register:
        assert register.get(Appliance, moved.uid).last_outcome is not None
    handed(desk, school.site, tmp_path / "again.appreg")
    take_in(owner, tmp_path / "again.appreg")
    sound(owner.path)


def test_what_left_the_site_is_told_until_it_left_and_that_it_did(
    two_clients: tuple[Desk, School, set[str]], tmp_path: Path
) -> None:
    desk, school, hidden = two_clients
    passed, untouched = school.items[0], school.items[2]
    owner, back = new_desk(tmp_path / "owner", ahead=1), tmp_path / "back.appreg"
    handed(desk, school.site, tmp_path / "before.appreg")
    take_in(owner, tmp_path / "before.appreg")
    second = desk.copied_to(Desk(tmp_path / "second", ahead=-1))
    with desk.open() as register:
        other = next(site for site in register.find(Site) if site.uid != school.site.uid)
        there = register.find(Location, site=other.uid)[0]
        for item in (passed, untouched):
            change_record(
                register, "Ann", replace(register.get(Appliance, item.uid), site=other.uid, location=there.uid)
            )
        with second.open() as its:  # who moved it too, and could not know
            change_record(its, "Bea", replace(its.get(Appliance, passed.uid), site=other.uid, location=there.uid))
        new_name = replace(register.get(Appliance, passed.uid), name=NAMES[4], tag=f"{NAMES[2]}-077")
        change_record(register, "Ann", new_name)
        visit = next(each for each in register.find(Visit) if each.site == other.uid)
        look(register, replace(school, visit=visit), passed, passes=False)
    desk.take_in(second)
    out = tmp_path / "out.appreg"
    told = handed(desk, school.site, out)
    assert told.left == ((f"{passed.tag} {passed.name}", MOVED), (f"{untouched.tag} {untouched.name}", MOVED))
    assert told.file.left_out == {}
    sound(out)
    sound(desk.path)
    assert [name for name in hidden | {f"{NAMES[2]}-077"} if _is_in(name, out.read_bytes())] == []
    for register in _opened(out), _opened(_taken_in(owner, out)):
        with register:
            item = register.get(Appliance, passed.uid)
            assert (item.site, item.tag, item.last_outcome) == (school.site.uid, passed.tag, Outcome.PASS)
            assert len(register.find(Inspection, appliance=passed.uid)) == 1
            assert show_item(register, passed.tag, today=TODAY).left.startswith("left Moor School on 21 Sep 2026")
            assert show_item(register, school.items[1].tag, today=TODAY).left == ""
    # What its old owner makes of it stays there.
    with owner.open() as register:
        set_service_state(register, "Own", appliance=passed.uid, state=ServiceState.DISPOSED, reason="gone")
        change_record(register, "Own", replace(register.get(Appliance, untouched.uid), name="Own words"))
    assert [called for called, _ in handed(owner, school.site, back).left] == [
        f"{passed.tag} Kettle 0",
        f"{untouched.tag} Kettle 2",
    ]
    take_in(desk, back)
    sound(desk.path)
    sound(owner.path)
    with desk.open() as register:
        item = register.get(Appliance, passed.uid)
        assert (item.site, item.name, item.last_outcome) == (other.uid, NAMES[4], Outcome.FAIL)
        assert register.get(Appliance, untouched.uid).name == untouched.name
        # Back at the site it has left it no more.
        change_record(
            register,
            "Ann",
            replace(register.get(Appliance, untouched.uid), site=school.site.uid, location=school.location.uid),
        )
    assert [called for called, _ in handed(desk, school.site, tmp_path / "again.appreg").left] == [
        f"{passed.tag} Kettle 0"
    ]
    take_in(owner, tmp_path / "again.appreg")
    sound(owner.path)
    with owner.open() as register:
        assert show_item(register, untouched.tag, today=TODAY).left == ""


def test_what_was_away_and_is_back_comes_home_without_a_false_alarm(
    two_clients: tuple[Desk, School, set[str]], tmp_path: Path
) -> None:
    desk, school, _ = two_clients
    failed, owner = school.items[1], new_desk(tmp_path / "owner", ahead=1)
    with desk.open() as register:
        other = next(site for site in register.find(Site) if site.uid != school.site.uid)
        there = register.find(Location, site=other.uid)[0]
        for site, place in ((other, there), (school.site, school.location)):
            change_record(
                register, "Ann", replace(register.get(Appliance, failed.uid), site=site.uid, location=place.uid)
            )
    handed(desk, school.site, tmp_path / "out.appreg")
    take_in(owner, tmp_path / "out.appreg")
    with owner.open() as register:
        item = register.get(Appliance, failed.uid)
        assert item.last_outcome is Outcome.FAIL
        change_record(register, "Own", replace(item, notes="to be mended"))
    handed(owner, school.site, tmp_path / "back.appreg")
    take_in(desk, tmp_path / "back.appreg")
    sound(owner.path)
    sound(desk.path)


def _opened(path: Path) -> Register:
    return open_register(path, create=False)


def _taken_in(owner: Desk, file: Path) -> Path:
    assert [words[:25] for words in take_in(owner, file).left] == [
        "MS-001 Kettle 0 left Moor",
        "MS-003 Kettle 2 left Moor",
    ]
    return owner.path


def test_an_encrypted_file_opens_with_its_passphrase_alone(
    two_clients: tuple[Desk, School, set[str]], tmp_path: Path
) -> None:
    desk, school, _ = two_clients
    out = tmp_path / "moor.age"
    with pytest.raises(InputRefused, match="8 at least"):
        handed(desk, school.site, out, "short")
    assert not out.exists()
    handed(desk, school.site, out, "four words of it")
    # The open format's own first line, https://age-encryption.org/v1 (published)
    assert out.read_bytes().startswith(b"age-encryption.org/v1\n")
    assert b"Moor School" not in out.read_bytes()
    with decrypted(out, "four words of it") as inside:
        sound(inside)
    with pytest.raises(InputRefused, match="passphrase"), decrypted(out, "four words of IT"):
        pass
    out.write_bytes(out.read_bytes()[:-100])
    with pytest.raises(InputRefused, match="damaged"), decrypted(out, "four words of it"):
        pass


def test_a_document_issued_before_is_printed_again_from_the_file(
    two_clients: tuple[Desk, School, set[str]], tmp_path: Path
) -> None:
    desk, school, _ = two_clients
    with desk.open() as register:
        issue_register(register, "Ann", Asked(site=school.site.uid), out=tmp_path / "first.pdf", today=TODAY)
        # What it tells up to is followed by lines of others.
        add_client(register, "Ann", name=NAMES[0] + " again")
        add_client(register, "Ann", name=NAMES[0] + " and again")
    handed(desk, school.site, tmp_path / "out.appreg")
    with open_register(tmp_path / "out.appreg", create=False) as register:
        print_again(register, number=1, out=tmp_path / "again.pdf")
    assert (tmp_path / "again.pdf").read_bytes() == (tmp_path / "first.pdf").read_bytes()


def test_a_site_goes_from_one_place_to_another_and_back_wherever_they_are_kept(place: Place, tmp_path: Path) -> None:
    giver, school = first_desk(tmp_path / "giver")
    with_another_client(giver)
    handed(giver, school.site, tmp_path / "first.appreg")
    with open_register(place) as own:
        merge_registers(own, "Own", tmp_path / "first.appreg", settings=Settings(), now=giver.clock())
        look(own, school, school.items[0], passes=True)
        hand_over(own, "Own", school.site.uid, tmp_path / "back.appreg")
        assert take_in(giver, tmp_path / "back.appreg").new["inspection"] == 1
        with giver.open() as register:
            look(register, school, school.items[1], passes=False)
        handed(giver, school.site, tmp_path / "second.appreg")
        merge_registers(own, "Own", tmp_path / "second.appreg", settings=Settings(), now=giver.clock())
        assert verify_register(own) == ()
        with giver.open() as register:
            assert own.find(Appliance) == register.find(Appliance, site=school.site.uid)


EXAMPLES = int(os.environ.get("APPREG_MERGES", "1"))


@settings(
    max_examples=EXAMPLES, deadline=None, phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
@given(moves=st.lists(st.tuples(st.booleans(), st.integers(0, WAYS), st.integers(0, 11)), min_size=4, max_size=10))
def test_whatever_both_do_meanwhile_they_come_to_the_same_of_the_site(moves: list[tuple[bool, int, int]]) -> None:
    with TemporaryDirectory() as folder:
        giver, school = first_desk(Path(folder) / "giver")
        hidden = with_another_client(giver)
        owner, file = new_desk(Path(folder) / "owner", ahead=-2), Path(folder) / "site.appreg"

        def give(one: Desk, other: Desk) -> None:
            file.unlink(missing_ok=True)
            handed(one, school.site, file)
            assert [name for name in hidden if _is_in(name, file.read_bytes())] == []
            take_in(other, file)

        give(giver, owner)
        for is_owner, way, which in moves:
            desk, other = (owner, giver) if is_owner else (giver, owner)
            if way == WAYS:
                give(desk, other)
            else:
                with desk.open() as register:
                    edit(register, school, "Own" if is_owner else "Ann", way, which)
        give(giver, owner)
        give(owner, giver)
        give(giver, owner)
        sound(giver.path)
        sound(owner.path)
        assert told_of(owner.path, school.site.uid) == told_of(giver.path, school.site.uid)
