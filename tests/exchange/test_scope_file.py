"""The file of a scope of work comes back as it went out, whatever its items are called."""

import csv
import io
from pathlib import Path

import pytest

from appreg.exchange.scope_file import read_scope_file, write_scope_file
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.test_scope_document import SITE, scope_of

STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@pytest.mark.parametrize("ending", ["csv", "json"])
def test_every_item_is_known_again_whatever_it_is_called(tmp_path: Path, ending: str) -> None:
    out = tmp_path / f"scope.{ending}"
    scope = scope_of(*HOSTILE_NAMES)
    write_scope_file(scope, out)
    back = read_scope_file(out)
    assert (back.made_on, back.after, back.sites) == (scope.made_on, scope.after, (SITE,))
    assert [(each.key, each.tag, each.work) for each in back.items] == [
        (item.key, item.tag, item.work) for item in scope.items
    ]


def test_no_cell_of_the_table_is_one_that_a_spreadsheet_runs(tmp_path: Path) -> None:

    out = tmp_path / "scope.csv"
    write_scope_file(scope_of(*HOSTILE_NAMES), out)
    rows = csv.reader(io.StringIO(out.read_bytes().decode(), newline=""))
    assert not [cell for row in rows for cell in row if cell.startswith(STARTS_A_FORMULA)]
