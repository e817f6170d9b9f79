"""A site goes out as a folder and comes in equal, in another register; what cannot be in it is named."""

import csv
import io
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, get_args

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, AssetTag, Client, Inspection, Location, Record, Site
from appreg.core.records.planning_records import BookedVisit, Crew
from appreg.core.records.work_records import (
    BenchDraft,
    IntervalKind,
    IntervalOverride,
    ItemMovement,
    Movement,
    NotInspected,
    NotInspectedBecause,
    OverrideScope,
)
from appreg.errors import InputRefused
from appreg.exchange.site_form import LEFT_OUT, NOT_A_SITES, RECORDED, columns_of, files, told_parts
from appreg.progress import Stopped
from appreg.register.checking.checking import problems
from appreg.register.copies.site_slice import count_of_site, site_slice
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.documents.issue_document import issue_register
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.keeping.export_site import export_site, export_sites
from appreg.tasks.keeping.import_folder import import_folder
from appreg.tasks.keeping.load_sample_site import sample_folders
from appreg.tasks.records.seed_categories import seed_categories
from appreg.tasks.standing.check_standings import standing_problems
from appreg.tasks.standing.settle_standing import settle_items
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, ticking_clock, worked_site

HOSTILE = (
    "[red]",
    "=1+1",
    "'=1+1",
    "Łódź – Ελλάδα",
    "אבג שלום",
    '"a", b; c',
    "x" * 300,
    "a\nb\r\nc\rd",
    "\u2028\x1b[1m",
    " a ",
)


def contents(register: Register, site: Site) -> dict[str, Any]:
    """Every record of a site by kind, in the order of recording."""
    placed = site_slice(register, site.uid, [kind for kind, _ in told_parts()])
    return {kind.__name__: each.records for kind, each in placed.items()}


def a_past(here: WorkedSite) -> Appliance:
    """A failure and what became of it, a correction, one taken back, a lead, moves, an interval, half-filled benches."""
    kettle, other, lead = here.kettle(), here.kettle(), here.kettle()
    failed = here.record(kettle, combined(earth="0.52"), here.visit(date(2026, 1, 5)))
    here.record(kettle, combined(), here.visit(date(2026, 2, 5)))
    mistaken = here.record(other, combined(earth="0.3"), visit := here.visit(date(2026, 2, 6)))
    here.record(other, combined(), visit, supersedes=mistaken.inspection.uid, reason="the wrong lead")
    here.record(lead, combined(insulation=""), visit)
    back = here.record(lead, combined(), here.visit(date(2026, 3, 1)))
    take_back_inspection(here.register, WHO, back.inspection.uid)
    with here.register.change("Ann") as change:
        change.put(replace(here.again(other), feeds=kettle.uid, notes=HOSTILE[0], measured=("cord",)))
        change.put(replace(here.person, qualifications="\t ".join(HOSTILE) * 9))
        change.put(crew := Crew(uid=change.new_uid(), name=HOSTILE[4], absent=HOSTILE))
        change.put(BookedVisit(uid=change.new_uid(), site=here.site.uid, day=TODAY, crew=crew.uid, items=(kettle.uid,)))
        change.put(ItemMovement(uid=change.new_uid(), appliance=lead.uid, movement=Movement.ISSUED, on=TODAY))
        change.put(
            NotInspected(
                uid=change.new_uid(), appliance=lead.uid, visit=visit.uid, date=visit.date, person=here.person.uid,
                because=NotInspectedBecause.NO_ACCESS, note=HOSTILE[1],
            )
        )  # fmt: skip
        change.put(
            IntervalOverride(
                uid=change.new_uid(), scope=OverrideScope.LOCATION, target=here.kitchen.uid, what=IntervalKind.TEST,
                period="P6M", reason=HOSTILE[7], author="Ann", on=TODAY,
            )
        )  # fmt: skip
        change.put(BenchDraft(uid=change.new_uid(), appliance=kettle.uid, visit=visit.uid, saved_at="10:00", body="{}"))
        for number, name in enumerate(HOSTILE):
            change.put(Location(uid=change.new_uid(), site=here.site.uid, name=name))
            change.put(replace(kettle, uid=change.new_uid(), tag=AssetTag(f"HR-9{number}"), name=name, make=name))
    with here.register.change("Ann") as change:
        settle_items(here.register, change, here.register.find(Appliance))
    assert failed.label is not None
    return kettle


def other_register(folder: Path, place: Place | None = None) -> Register:
    return open_register(place or folder / "other.sqlite", clock=ticking_clock(1_796_000_000_000))


def test_a_site_comes_in_equal_and_goes_out_as_the_same_files(new_place: Callable[[], Place], tmp_path: Path) -> None:
    with worked_site(tmp_path, place=new_place()) as here, other_register(tmp_path, new_place()) as register:
        a_past(here)
        seed_categories(register, WHO)
        export_site(here.register, here.site.uid, tmp_path / "out")
        import_folder(register, WHO, tmp_path / "out", apply=True)
        assert contents(register, here.site) == contents(here.register, here.site)
        assert [*problems(register), *standing_problems(register)] == []
        export_site(register, here.site.uid, tmp_path / "again")
    for name in [*files().values(), "site.toml"]:
        assert (tmp_path / "again" / name).read_bytes() == (tmp_path / "out" / name).read_bytes(), name
    assert (tmp_path / "out" / "site.toml").read_text("utf-8").startswith("# No seal covers these files:")


def test_a_site_with_categories_meets_those_that_are_there_already(tmp_path: Path) -> None:
    with open_register(tmp_path / "one.sqlite") as one, other_register(tmp_path) as other:
        for register in (one, other):
            seed_categories(register, WHO)
        import_folder(one, WHO, sample_folders()[0], apply=True)
        (site,) = one.find(Site)
        export_sites(one, tmp_path / "all")
        import_folder(other, WHO, tmp_path / "all", apply=True)
        assert [*problems(other), *standing_problems(other)] == []
        export_sites(other, tmp_path / "again")
        assert other.get(Site, site.uid) == site
    folder = site.prefix.lower()
    for name in files().values():
        assert (tmp_path / "again" / folder / name).read_bytes() == (tmp_path / "all" / folder / name).read_bytes()


def test_every_kind_of_record_is_in_a_folder_or_named_as_none_that_is(here: WorkedSite) -> None:
    told = {kind for kind, _ in told_parts()}
    beside = {*LEFT_OUT, *NOT_A_SITES} | {each for each in get_args(Record) if each.__name__ == "KeptPlan"}
    assert told | beside == set(get_args(Record))
    assert not told & beside
    assert all(count_of_site(here.register, here.site.uid, kind) >= 0 for kind in told)


def test_every_file_and_column_of_a_folder_is_told_in_the_readme() -> None:
    readme = (sample_folders()[0].parent / "README.md").read_text(encoding="utf-8")
    for kind, name in told_parts():
        columns = [column.name for column in columns_of(kind)] + ([RECORDED] if name.endswith(".csv") else [])
        told = f" | {', '.join(f'`{column}`' for column in columns)} |\n"
        assert re.search(rf"\| (site\.toml, \[+)?{re.escape(name)}\]* \| [^|]+{re.escape(told)}", readme), (name, told)


def test_what_no_folder_holds_is_named_and_left_out_only_when_asked(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle(), combined())
    issue_register(here.register, WHO, Asked(site=here.site.uid), out=tmp_path / "r.pdf", today=TODAY)
    with pytest.raises(InputRefused, match=r"1 of documents that were issued.*--leave-out issued"):
        export_site(here.register, here.site.uid, tmp_path / "out")
    assert not (tmp_path / "out").exists()
    export_site(here.register, here.site.uid, tmp_path / "out", leave_out=["issued"])


def test_an_item_that_belongs_to_another_site_too_is_named(here: WorkedSite, tmp_path: Path) -> None:
    kettle = here.kettle()
    with here.register.change(WHO) as change:
        elsewhere = replace(here.site, uid=change.new_uid(), prefix="ZZ", name="Elsewhere")
        room = Location(uid=change.new_uid(), site=elsewhere.uid, name="Hall")
        far = replace(kettle, uid=change.new_uid(), tag=AssetTag("ZZ-001"), site=elsewhere.uid, location=room.uid)
        for record in (elsewhere, room, far, replace(kettle, feeds=far.uid)):
            change.put(record)
    with pytest.raises(InputRefused, match="HR-001 has a feeds that is not of this site"):
        export_site(here.register, here.site.uid, tmp_path / "out")


def edited(folder: Path, name: str, edit: Callable[[list[dict[str, str]]], object]) -> None:
    """Change the lines of a file as a spreadsheet would."""
    with (folder / name).open(encoding="utf-8", newline="") as file:
        rows = [*csv.DictReader(file)]
    heads = [*rows[0]]
    edit(rows)
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, heads, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    (folder / name).write_text(out.getvalue(), encoding="utf-8", newline="")


def first(**cells: str) -> Callable[[list[dict[str, str]]], object]:
    return lambda rows: rows[0].update(cells)


def failed(rows: list[dict[str, str]]) -> dict[str, str]:
    return next(row for row in rows if row.get("outcome", row.get("finding")) == "fail")


REFUSED: dict[str, tuple[str, Callable[[list[dict[str, str]]], object], str]] = {
    "an outcome": ("inspections.csv", lambda rows: failed(rows).update(outcome="pass"), "told as pass"),
    "a finding": ("findings.csv", lambda rows: failed(rows).update(finding="pass"), "told as fail"),
    "a reading": (
        "findings.csv",
        lambda rows: next(row for row in rows if row["reading"] == "0.08").update(reading="0.9", method=""),
        "0.9 Ω is beyond its limit",
    ),
    "a finding gone": ("findings.csv", lambda rows: rows.pop(0), "a finding is missing"),
    "an item's result": ("items.csv", first(last_outcome="fail"), "HR-001: it shows fail"),
    "a tag": ("items.csv", first(tag=""), "items.csv, line 3, feeds: “HR-001” is not known"),
    "a class": ("items.csv", first(**{"class": "9"}), "items.csv, line 2, class: “9” is not one of"),
    "a figure": ("items.csv", first(cord_m="1,5"), "line 2, cord_m: “1,5” is not a figure"),
    "a day": ("inspections.csv", first(date="5.1.2026"), "line 2, date: “5.1.2026” is not a date"),
    "a room": ("items.csv", first(location="Nowhere"), "line 2, location: “Nowhere” is not known"),
    "a key": ("items.csv", first(key="1"), "line 2, key: this is no key"),
    "a key twice": ("items.csv", lambda rows: rows[1].update(key=rows[0]["key"]), "stands twice"),
    "an order": ("inspections.csv", first(recorded="one"), "“one” is not a whole number"),
    "a list": ("items.csv", first(measured="cord"), "is not a list of texts"),
}


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The files of a site with a past."""
    folder = tmp_path_factory.mktemp("site")
    with worked_site(folder, place=folder / "one.sqlite") as here:
        a_past(here)
        export_site(here.register, here.site.uid, folder / "out")
    return {path.name: path.read_bytes() for path in (folder / "out").iterdir()}


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A register that every one of these leaves as it is."""
    path = tmp_path_factory.mktemp("empty") / "empty.sqlite"
    open_register(path).close()
    return path


def lay(folder: Path, contents: dict[str, bytes]) -> Path:
    folder.mkdir()
    for name, content in contents.items():
        (folder / name).write_bytes(content)
    return folder


@pytest.mark.parametrize("what", REFUSED)
def test_what_is_not_as_it_should_be_is_told_with_file_and_line_and_nothing_comes_in(
    what: str, exported: dict[str, bytes], empty: Path, tmp_path: Path
) -> None:
    name, edit, says = REFUSED[what]
    folder = lay(tmp_path / "out", exported)
    edited(folder, name, edit)
    with open_register(empty) as register:
        with pytest.raises(InputRefused, match=says):
            import_folder(register, WHO, folder, apply=True)
        assert not register.find(Site)


@pytest.mark.parametrize(
    "broken",
    [
        ("items.csv", None, "items.csv cannot be read"),
        ("items.csv", b"\xff\xfe", "not UTF-8"),
        ("items.csv", b"", "column is missing"),
        ("items.csv", b'key,recorded\r\n"', "unexpected end"),
        ("items.csv", b"key,recorded,colour\r\n", "colour: this column is not known"),
        ("site.toml", b'[folder]\nform = "other"', "this is another form"),
        ("site.toml", b"[folder", "not valid TOML"),
        ("site.toml", b"x", "not valid TOML"),
    ],
)
def test_a_file_that_is_gone_or_broken_is_named(
    broken: tuple[str, bytes | None, str], exported: dict[str, bytes], empty: Path, tmp_path: Path
) -> None:
    name, content, says = broken
    folder = lay(tmp_path / "out", {each: text for each, text in exported.items() if each != name})
    if content is not None:
        (folder / name).write_bytes(content)
    with open_register(empty) as register, pytest.raises(InputRefused, match=says):
        import_folder(register, WHO, folder, apply=True)


def test_a_trial_and_what_is_stopped_leave_nothing_and_a_second_import_is_refused(
    exported: dict[str, bytes], place: Place, tmp_path: Path
) -> None:
    folder = lay(tmp_path / "out", exported)
    with other_register(tmp_path, place) as register:
        tried = import_folder(register, WHO, folder, apply=False)
        assert (tried.applied, tried.sites[0].items, tried.sites[0].inspections) == (False, 13, 6)
        with pytest.raises(Stopped):
            import_folder(register, WHO, folder, apply=True, progress=lambda *_: False)
        assert not register.find(Client)
        import_folder(register, WHO, folder, apply=True)
        with pytest.raises(InputRefused, match="Harbour Row is in the register already"):
            import_folder(register, WHO, folder, apply=True)


def test_a_described_site_leaves_the_labels_of_others_waiting(here: WorkedSite) -> None:
    saved = here.record(here.kettle(), combined(), here.visit(date(2024, 11, 20)))
    seed_categories(here.register, WHO)
    for folder in sample_folders():
        if here.site.name not in (folder / "site.toml").read_text(encoding="utf-8"):
            import_folder(here.register, WHO, folder, apply=True)
    assert saved.label is not None
    assert here.register.get(type(saved.label), saved.label.uid).printed_on is None
    assert here.register.find(Inspection)
