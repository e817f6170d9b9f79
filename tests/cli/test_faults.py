"""A command that goes wrong in a way nobody foresaw says so in a sentence, with exit code 1."""

from pathlib import Path
from typing import Any

import pytest

from appreg.cli import fault
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.tasks.planning import list_due
from tests.cli.conftest import Call
from tests.cli.json_forms import checked
from tests.tasks.worked_site import WorkedSite


def test_an_unforeseen_error_is_a_sentence_and_a_report_without_records(
    row: WorkedSite, call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))

    def fail(*_args: object, **_options: object) -> None:
        raise ValueError(row.site.name)

    monkeypatch.setattr(list_due, "list_due", fail)
    told = call("due", "--json")
    assert checked(told) == "appreg.error"
    error: Any = told.json
    assert (told.code, error["exit_code"], told.err) == (1, 1, f"appreg: {error['error']}\n")
    assert row.site.name not in told.out
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "another"))
    answer = call("due")
    assert answer.code == 1
    assert answer.out == ""
    assert answer.err.startswith("appreg: Something went wrong inside appreg (ValueError in ")
    assert answer.err.count("\n") == 1
    assert row.site.name not in answer.err
    (report,) = (tmp_path / "another" / "appreg" / "reports").iterdir()
    assert row.site.name not in report.read_text(encoding="utf-8")


def test_what_was_saved_before_a_fault_is_not_denied(
    row: WorkedSite, call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr(fault, "item_name", None)
    told = call("fault", "HR-003", "cord cut", "--json")
    assert row.register.find(Appliance, tag="HR-003")[0].state is ServiceState.WITHDRAWN
    assert told.code == 1
    assert "What was saved is kept" in told.err
    assert "as it was" not in told.err
