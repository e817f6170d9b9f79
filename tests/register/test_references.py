"""What names a record of another table is known by name: a merge goes by it."""

from pathlib import Path

from appreg.register.journal.doubles import ONCE
from appreg.register.opening.register_file import open_register
from appreg.register.schema.record_kinds import KINDS_BY_TABLE
from appreg.register.schema.references import REFERENCES

_KEYS = 'SELECT m.name, f."from", f."table" FROM sqlite_master m, pragma_foreign_key_list(m.name) f WHERE m.type = \'table\''


def test_every_reference_of_the_tables_is_known(tmp_path: Path) -> None:
    with open_register(tmp_path / "r.appreg") as register:
        found: dict[str, dict[str, str]] = {}
        for table, column, other in register.rows(_KEYS):
            found.setdefault(table, {})[column] = other
    assert found == {table: dict(columns) for table, columns in REFERENCES.items()}
    assert set(ONCE) <= set(KINDS_BY_TABLE)
