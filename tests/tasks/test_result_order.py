"""Rows of results come item by item and day by day, however many they are, and can be stopped while they are read."""

from pathlib import Path
from random import Random

import pytest

from appreg.exchange.mapped_row import MappedRow
from appreg.progress import Stopped
from appreg.tasks.importing import result_order
from appreg.tasks.importing.result_order import item_by_item
from tests.tasks.test_import_results import planned, result
from tests.tasks.worked_site import WorkedSite


def rows() -> list[MappedRow]:
    told = [
        MappedRow(line=line, values={"tag": f"HR-{line % 37:03}", "date": f"2026-01-{1 + line % 28:02}", "remarks": "Łódź"})
        for line in range(1, 300)
    ]  # fmt: skip
    Random(14).shuffle(told)
    return told


@pytest.mark.parametrize("at_once", [7, 150, 20_000])
def test_rows_that_do_not_fit_into_memory_come_in_the_same_order(at_once: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(result_order, "_AT_ONCE", at_once)
    told = rows()
    # The order is Python's own stable sort.
    assert list(item_by_item(told)) == sorted(told, key=lambda row: (row.values["tag"].lower(), row.values["date"]))


def test_no_more_rows_than_that_are_held_while_a_table_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(result_order, "_AT_ONCE", 10)
    held: list[int] = []
    monkeypatch.setattr(result_order, "_write", lambda placed, _file: held.append(len(placed)))
    list(item_by_item(rows()))
    assert held == [10] * 29


def test_results_can_be_stopped_while_their_table_is_read(here: WorkedSite, tmp_path: Path) -> None:
    here.kettle("HR-001")
    asked: list[int] = []

    def stop(done: int, _of: int) -> bool:
        asked.append(done)
        return False

    with pytest.raises(Stopped, match="Stopped after 0 rows"):
        planned(here, tmp_path, result("HR-001", "2026-11-20"), progress=stop)
    assert asked == [0]
