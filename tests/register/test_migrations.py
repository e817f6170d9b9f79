"""A register from before a migration is taken to today's tables, with nothing lost and the step in its journal."""

from pathlib import Path

import pytest

from appreg.core.records import Record
from appreg.core.work_records import ItemMovement
from appreg.register import file_marks, migrations
from appreg.register.checking import problems
from appreg.register.register_file import open_register
from tests.register.sample_register import BEFORE_INSPECTION, KETTLE, MOVEMENT, ticking_clock


def test_an_older_register_gains_the_tables_it_lacks_and_keeps_its_records(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "old.appreg"
    with monkeypatch.context() as older:
        older.setattr(migrations, "MIGRATIONS", migrations.MIGRATIONS[:1])
        older.setattr(migrations, "NEWEST", 1)
        older.setattr(file_marks, "NEWEST", 1)
        with open_register(path, clock=ticking_clock()) as register, register.change("Sam") as change:
            records: tuple[Record, ...] = BEFORE_INSPECTION
            for record in records:
                change.put(record)
    with open_register(path, clock=ticking_clock(start=1_796_000_000_000)) as register:
        assert list(problems(register)) == []
        assert register.get(type(KETTLE), KETTLE.uid) == KETTLE
        assert register.rows("SELECT number, name FROM migration ORDER BY number") == [
            (1, "first tables"),
            (2, "item movements"),
            (3, "items by the numbers of their tags"),
        ]
        with register.change("Ann") as change:
            change.put(MOVEMENT)
        assert register.find(ItemMovement, appliance=KETTLE.uid) == [MOVEMENT]
        assert list(problems(register)) == []
