"""A new register is made on request alone, where nothing is; no reading command takes a file that holds nothing for one."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from appreg.core.records.kept_records import Category, Site
from appreg.core.records.planning_records import Crew
from appreg.register.opening.register_file import open_register
from appreg.ui.app import AppregApp
from tests.cli.conftest import Call
from tests.register.journal_alone import last_change
from tests.tasks.worked_site import WorkedSite


def test_a_new_register_is_made_and_told(tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("APPREG_WHO", "tester")
    path = tmp_path / "folder" / "r.sqlite"
    answer = call("new", path)
    assert answer.code == 0
    assert answer.out.startswith(f"The new register is {path}\n")
    assert f"appreg --register {path}" in answer.out
    assert path.stat().st_mode & 0o777 == 0o600
    with open_register(path, create=False) as register:
        categories = len(register.find(Category))
        change = last_change(register)
    assert change is not None
    assert change.who == "tester"
    assert call("--register", path, "verify").code == 0
    told: Any = call("new", tmp_path / "second", "--json").json
    assert (told["register"], told["categories"]) == (str(tmp_path / "second"), categories)


def test_anything_that_is_there_already_is_left_as_it_is(tmp_path: Path, call: Call) -> None:
    path = tmp_path / "r.sqlite"
    assert call("new", path).code == 0
    (tmp_path / "empty").touch()
    (tmp_path / "link").symlink_to(tmp_path / "nothing")
    before = path.read_bytes()
    for each in (path, tmp_path / "empty", tmp_path / "link", tmp_path):
        answer = call("new", each)
        assert (answer.code, answer.out, answer.err.count("\n")) == (2, "", 1)
        assert "--force" not in answer.err  # which this command does not know
    assert path.read_bytes() == before
    assert (tmp_path / "empty").read_bytes() == b""
    assert not (tmp_path / "nothing").exists()


@pytest.mark.parametrize("content", [b"", b"x", b"\0" * 4096])
def test_no_command_takes_a_file_that_holds_nothing_for_a_register(
    content: bytes, tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[AppregApp] = []
    monkeypatch.setattr(AppregApp, "run", opened.append)
    path = tmp_path / "r.sqlite"
    path.write_bytes(content)
    for words in (
        (), ("due",), ("verify",), ("find", "kettle"), ("show", "HR-001"), ("plan",), ("evidence",), ("demo", "--no-ui"),
        ("move", "HR-001", "issued"), ("print", "register", "--site", "HR", "-o", tmp_path / "out.pdf"), ("demo",),
    ):  # fmt: skip
        answer = call("--register", path, *words)
        assert (answer.code, answer.out, answer.err.count("\n")) == (1, "", 1), words
        assert str(path) in answer.err
    assert opened == []
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_no_register_is_made_where_one_was_removed_and_its_log_was_left(
    tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[AppregApp] = []
    monkeypatch.setattr(AppregApp, "run", opened.append)
    (tmp_path / "r.sqlite-wal").write_bytes(b"records")
    for words in (("--register", tmp_path / "r.sqlite"), ("new", tmp_path / "r.sqlite")):
        answer = call(*words)
        assert answer.code == 1
        assert "r.sqlite-wal of an earlier one" in answer.err
    assert opened == []
    assert [each.name for each in tmp_path.iterdir()] == ["r.sqlite-wal"]


def test_what_plans_stand_on_is_made_and_anything_that_cannot_be_is_said_with_its_option(
    call: Call, row: WorkedSite
) -> None:
    oak = (
        "new", "site", "Oak School", "--client", row.client.name, "--environment", "public", "--responsible", "R. Oak",
        "--responsible-contact", "the lodge", "--district", "North", "--days", "tue, thu", "--counted-from", "24.11.2026",
        "--closed", "24.12.2026..3.1.2027 (works closed)", "--preferred", "15.2.2027", "--set-up-minutes", "20",
        "--travel-minutes", "25 min",
    )  # fmt: skip
    assert call(*oak).code == 0
    made = call("new", "crew", "North crew", "--people", "2", "--days", "mon", "--away", "1.8.2027 (leave)")
    assert made.out == "new crew: North crew, 2 × 420 min a day\n"
    made = call("new", "way", "North", "--other", "Quayside", "--travel-minutes", "35")
    assert made.out == "new way: North and Quayside, 35 min\n"
    (site,) = row.register.find(Site, name="Oak School")
    assert (site.responsible, site.responsible_contact, site.district) == ("R. Oak", "the lodge", "North")
    assert (site.access_days, site.access_from) == ("FREQ=WEEKLY;BYDAY=TU,TH", date(2026, 11, 24))
    assert (site.closures, site.preferred) == (("2026-12-24..2027-01-03 works closed",), ("2027-02-15",))
    assert (site.set_up_minutes, site.travel_minutes) == (20, 25)
    (crew,) = row.register.find(Crew)
    assert (crew.people, crew.minutes_a_day, crew.absent) == (2, 420, ("2027-08-01 leave",))
    for words, said in (
        (("crew", "Other", "--people", "0"), "crew people: 0 cannot be right"),
        (("crew", "Other", "--away", "august"), "--away: “august” is not a date"),
        (("crew", "Other", "--days", "blue moons"), "is not a rule for days"),
        (("crew", "Other", "--minutes-a-day", "9999"), "minutes a day: 9999 cannot be right"),
        (("crew", "north CREW"), "there is a crew North crew already"),
        (("crew", "Other", "--district", "North"), "--district belongs to a new site"),
        (("way", "quayside", "--other", "north", "--travel-minutes", "1"), "is kept already"),
        (("way", "North", "--travel-minutes", "1"), "needs --other"),
    ):
        refused = call("new", *words)
        assert (refused.code, said in refused.err) == (2, True), refused.err
    assert len(row.register.find(Crew)) == 1
