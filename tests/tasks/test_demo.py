"""The demo register: built from readable files, the same every time, never over a person's own register."""

import os
import shutil
import sqlite3
from collections import Counter
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, ServiceState
from appreg.core.records.kept_records import Appliance, Client, Inspection, Instrument, QueuedLabel, Site
from appreg.core.values.outcomes import Outcome
from appreg.errors import AppregError, RegisterKept
from appreg.register.opening.register_file import open_register
from appreg.tasks.keeping.build_demo import DemoSummary, build_demo, read_samples
from appreg.tasks.keeping.load_sample_site import sample_folders
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.records.add_client import add_client
from tests.tasks.worked_site import TODAY, WHO, ticking_clock


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> DemoSummary:
    """The demo, built once."""
    return build_demo(tmp_path_factory.mktemp("demo") / "demo.sqlite", clock=ticking_clock(), today=TODAY)


def test_three_sites_of_fifteen_to_sixty_items_each(demo: DemoSummary) -> None:
    with open_register(demo.path, create=False) as register:
        counts = Counter(item.site for item in register.find(Appliance))
    assert demo.sites == 3
    assert all(15 <= count <= 60 for count in counts.values())


def test_the_demo_shows_what_a_register_is_for(demo: DemoSummary) -> None:
    with open_register(demo.path, create=False) as register:
        items, inspections = register.find(Appliance), register.find(Inspection)
        board = list_due(register, today=TODAY)
        tools = register.find(Instrument)
        labels = register.find(QueuedLabel, printed_on=None)
    assert min(board.counts.overdue, board.counts.due_soon, board.counts.never, board.counts.withdrawn) > 0
    assert {item.state for item in items} == set(ServiceState)
    assert {each.outcome for each in inspections} == set(Outcome)
    assert any(item.microwave for item in items)
    assert any(item.equipment_type.is_lead for item in items)
    assert any(item.rated_volts == 110 for item in items)
    assert any(item.appliance_class is ApplianceClass.UNKNOWN for item in items)
    assert any(tool.calibration_due and tool.calibration_due < max(each.date for each in inspections) for tool in tools)
    assert any(item.last_outcome is Outcome.PASS for item in items if failed_once(item, inspections))
    assert labels


def failed_once(item: Appliance, inspections: list[Inspection]) -> bool:
    return any(each.appliance == item.uid and each.outcome is Outcome.FAIL for each in inspections)


def test_the_demo_register_is_sound(demo: DemoSummary) -> None:
    with open_register(demo.path, create=False) as register:
        assert verify_register(register) == ()


def test_a_fixed_clock_gives_the_same_register_every_time(demo: DemoSummary, tmp_path: Path) -> None:
    again = build_demo(tmp_path / "again.sqlite", clock=ticking_clock(), today=TODAY)
    assert replace(again, path=demo.path) == demo
    with open_register(demo.path, create=False) as first, open_register(again.path, create=False) as second:
        for kind in (Site, Appliance, Inspection):
            assert first.find(kind) == second.find(kind)


def copy_of(demo: DemoSummary, path: Path) -> Path:
    shutil.copyfile(str(demo.path), path)
    return path


@pytest.mark.parametrize("who", [WHO, read_samples()[0].people[0].name])
def test_a_demo_is_replaced_only_while_nobody_but_the_demo_has_written_to_it(
    who: str, demo: DemoSummary, tmp_path: Path
) -> None:
    path = copy_of(demo, tmp_path / "mine.sqlite")
    assert replace(build_demo(path, today=TODAY), path=demo.path) == demo
    with open_register(path) as register:
        client = add_client(register, who, name="A client of mine")
    with pytest.raises(RegisterKept, match="holds what somebody entered"):
        build_demo(path, today=TODAY)
    with open_register(path) as register:
        assert register.find(Client, uid=client.uid)
    assert [each.name for each in tmp_path.iterdir()] == ["mine.sqlite"]


def test_a_demo_that_is_open_elsewhere_is_kept(demo: DemoSummary, tmp_path: Path) -> None:
    path = copy_of(demo, tmp_path / "demo.sqlite")
    with open_register(path) as register:
        with pytest.raises(RegisterKept, match="open in another window"):
            build_demo(path, today=TODAY)
        client = add_client(register, WHO, name="A client of mine")
    with open_register(path) as register:
        assert register.find(Client, uid=client.uid)
        assert verify_register(register) == ()


def test_no_demo_is_put_over_anything_else(demo: DemoSummary, tmp_path: Path) -> None:
    copy_of(demo, tmp_path / "demo")
    open_register(tmp_path / "new register").close()
    (tmp_path / "notes").write_text("not a register")
    (tmp_path / "empty").touch()
    (tmp_path / "folder").mkdir()
    (tmp_path / "link to a demo").symlink_to(tmp_path / "demo")
    (tmp_path / "link to nothing").symlink_to(tmp_path / "nothing")
    os.mkfifo(tmp_path / "pipe")
    raw = sqlite3.connect(tmp_path / "database")
    raw.execute("CREATE TABLE other (x)")
    raw.close()
    (tmp_path / "gone-wal").write_bytes(b"of a register that was removed")
    names = {each.name for each in tmp_path.iterdir()}
    before = {each: each.read_bytes() for each in tmp_path.iterdir() if each.is_file()}
    for name in (*names - {"demo", "gone-wal"}, "gone"):
        with pytest.raises(AppregError, match=rf"(?s)^[^\n]*{name}[^\n]*\.$"):
            build_demo(tmp_path / name, today=TODAY)
    assert {each: each.read_bytes() for each in tmp_path.iterdir() if each.is_file()} == before
    assert {each.name for each in tmp_path.iterdir()} == names
    assert (tmp_path / "link to a demo").is_symlink()


def test_the_dates_of_the_samples_stand_still(demo: DemoSummary, tmp_path: Path) -> None:
    later = build_demo(tmp_path / "later.sqlite", clock=ticking_clock(), today=date(2030, 1, 1))
    assert later.inspections == demo.inspections
    assert later.overdue > demo.overdue
    assert max(visit.on for sample in read_samples() for visit in sample.visits) <= date(2026, 11, 30)


def test_every_sample_has_a_readme_that_says_it_is_invented() -> None:
    for folder in sample_folders():
        assert "invented" in (folder / "README.md").read_text(encoding="utf-8")
