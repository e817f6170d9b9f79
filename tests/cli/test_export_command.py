"""`appreg export` and `appreg import` of what it wrote: a whole register, a site, a list of items."""

from pathlib import Path

import pytest

from appreg.core.records.kept_records import Appliance, Inspection
from appreg.register.opening.register_file import open_register
from tests.cli.conftest import Call
from tests.register.sample_register import all_of
from tests.tasks.worked_site import WorkedSite


def test_a_whole_register_comes_back_where_none_stood_and_nowhere_else(
    call: Call, row: WorkedSite, tmp_path: Path
) -> None:
    lines, new = tmp_path / "register.jsonl", tmp_path / "new.sqlite"
    out = call("export", lines)
    assert (out.code, out.err) == (0, "")
    assert "the whole register, checked" in out.out
    assert call("export", lines).err.endswith("or add --force.\n")
    assert call("export", lines, "--force").code == 0
    back = call("--register", new, "import", lines)
    assert (back.code, back.err) == (0, "")
    assert f"{new}: all of {lines}, checked" in back.out
    with open_register(new) as other:
        assert all_of(other) == all_of(row.register)
    again = call("--register", new, "import", lines)
    assert (again.code, "is never overwritten" in again.err) == (2, True)
    opened = call("--register", new, "due")
    assert (opened.code, opened.err) == (0, "")


def test_a_whole_register_is_not_imported_into_a_database(call: Call, row: WorkedSite, tmp_path: Path) -> None:
    assert row.register.in_file
    assert call("export", tmp_path / "register.jsonl").code == 0
    refused = call("--register", "postgresql://localhost/none", "import", tmp_path / "register.jsonl")
    assert refused.code == 2
    assert "is imported into a file, which `appreg copy` takes into a database" in refused.err


def test_a_site_is_told_first_and_comes_in_when_asked(call: Call, row: WorkedSite, tmp_path: Path) -> None:
    folder, other = tmp_path / "site", tmp_path / "other.sqlite"
    out = call("export", "--site", "HR", folder)
    assert (out.code, out.err) == (0, "")
    assert "Harbour Row, 3 items, in readable files" in out.out
    assert call("new", other).code == 0
    told = call("--register", other, "import", folder)
    assert (told.code, "Nothing was imported yet; add --apply." in told.out) == (0, True)
    assert call("--register", other, "import", folder, "--apply").code == 0
    with open_register(other) as register:
        assert len(register.find(Appliance)) == 3
        assert register.find(Inspection) == row.register.find(Inspection)
    again = call("--register", other, "import", folder, "--apply")
    assert (again.code, "Harbour Row is in the register already" in again.err) == (2, True)


def test_all_sites_go_out_each_into_a_folder(call: Call, row: WorkedSite, tmp_path: Path) -> None:
    assert row.site.prefix == "HR"
    assert call("export", tmp_path / "all").code == 0
    assert (tmp_path / "all" / "hr" / "site.toml").exists()
    refused = call("export", tmp_path / "all")
    assert (refused.code, "is not empty" in refused.err) == (2, True)


def test_a_list_of_items_comes_back_as_the_same(call: Call, row: WorkedSite, tmp_path: Path) -> None:
    assert row.register.find(Appliance)
    for name in ("items.csv", "items.xlsx"):
        assert call("export", "--site", "HR", tmp_path / name).code == 0
        told = call("import", tmp_path / name, "--json")
        assert told.code == 0
        assert isinstance(told.json, dict)
        assert (told.json["counts"]["same"], len(told.json["rows"])) == (3, 3), told.out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("export", "all.jsonl", "--site", "HR"), "JSON Lines are the whole register"),
        (("export", "items.csv", "--leave-out", "issued"), "nothing is left out of a file"),
        (("export", "folder", "--force"), "a folder of a site is a new one"),
        (("export", "folder", "--leave-out", "all"), "invalid choice"),
    ],
)
def test_options_that_do_not_go_together_are_refused(
    call: Call, row: WorkedSite, words: tuple[str, ...], says: str
) -> None:
    assert row.site.prefix == "HR"
    refused = call(*words)
    assert (refused.code, says in refused.err) == (2, True), refused.err
