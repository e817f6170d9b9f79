"""`appreg remind`: messages as files, said one by one; nothing is sent."""

from datetime import date
from pathlib import Path

import pytest

from tests.cli.conftest import Call
from tests.tasks.worked_site import WorkedSite


@pytest.fixture(autouse=True)
def day_of_the_test(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("appreg.cli.remind.local_today", lambda: date(2026, 11, 24))


def test_each_message_is_said_with_whom_it_is_for(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    answer = call("remind", "--within", "400", "-o", tmp_path / "out")
    (written,) = (tmp_path / "out").glob("*.eml")
    first, last = answer.out.splitlines()
    assert (answer.code, first.startswith(f"{written}: for {row.client.name}, whose address you add;")) == (0, True)
    assert last.startswith("Nothing is sent")
    again = call("remind", "--within", "400", "-o", tmp_path / "out")
    assert (again.code, "--force" in again.err) == (2, True)
    assert call("remind", "--within", "400", "-o", tmp_path / "out", "--force").code == 0


def test_an_address_that_is_none_is_refused_before_anything_is_written(
    row: WorkedSite, call: Call, tmp_path: Path
) -> None:
    del row
    answer = call("remind", "-o", tmp_path / "out", "--from", "Ida")
    assert (answer.code, answer.err.count("\n")) == (2, 1)
    assert not (tmp_path / "out").exists()
