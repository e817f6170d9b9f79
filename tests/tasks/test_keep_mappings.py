"""Mappings are kept so that they can be read again."""

from pathlib import Path

import pytest

from appreg.errors import InputRefused
from appreg.exchange.column_mapping import ColumnMapping, MappedColumn
from appreg.exchange.import_fields import ImportKind
from appreg.tasks.importing.keep_mappings import keep_mapping, kept_mappings

TAG = MappedColumn(head="\u202etag [red]", position=1, field="tag", values={"=1+1": ""})


def test_a_mapping_that_could_not_be_read_again_is_refused_and_leaves_nothing(tmp_path: Path) -> None:
    environ = {"XDG_CONFIG_HOME": str(tmp_path)}
    wrong = MappedColumn(head="class", position=2, field="appliance_class", values={"x": "no such class"})
    with pytest.raises(InputRefused, match="no such class"):
        keep_mapping(environ, ColumnMapping(kind=ImportKind.ITEMS, columns=(TAG, wrong)), "list")
    assert not kept_mappings(environ).mappings
    keep_mapping(environ, ColumnMapping(kind=ImportKind.ITEMS, columns=(TAG,)), "list")
    assert kept_mappings(environ).mappings["list"].columns == (TAG,)
    assert not kept_mappings(environ).faults
