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
from tests.cli.conftest import Call
from tests.postgres_server import of_a_file
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
    refused = call("merge", "--settle", contest["contest"], "--keep", "3")
    assert "has the values 1 to 2" in refused.err
    settled = call("merge", "--settle", contest["contest"], "--keep", "1")
    assert (settled.code, settled.out.strip()) == (0, "Nothing is contested.")
    assert row.register.get(Appliance, item.uid).make == "[red]Mill"
    assert call("merge", other).out.startswith(f"{other} holds nothing that is not here already")
    assert call("verify").code == 0
