"""The report of a fault: it names places and kinds, and nothing that a record could hold."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from appreg.errors import RegisterUnusable
from appreg.tasks.items.report_fault import REPORTS_KEPT, fault_met, keep_report, report_text

SECRET = "14 Harbour Row"
AT = datetime(2026, 11, 24, 10, tzinfo=UTC)


def _read() -> None:
    try:
        json.loads("{" + SECRET)
    except ValueError as problem:
        raise RegisterUnusable(f"The item at {SECRET} cannot be read.") from problem


def _show() -> None:
    try:
        _read()
    except RegisterUnusable:
        raise KeyError(SECRET)  # noqa: B904 - raised while another is handled, as slips are


def _fault() -> Exception:
    with pytest.raises(KeyError) as raised:
        _show()
    raised.value.add_note(SECRET)
    return raised.value


def test_every_error_of_the_chain_is_named_first_cause_first_without_its_text() -> None:
    told = report_text(_fault(), at=AT)
    assert SECRET not in told
    places = [told.index(name) for name in ("json.decoder.JSONDecodeError", "RegisterUnusable", "KeyError")]
    assert places == sorted(places)
    assert "test_report_fault.py, line " in told
    assert ", _show" in told
    assert "/home/" not in told
    assert "Python 3." in told


def test_only_the_newest_reports_are_kept_and_only_their_owner_may_read_them(tmp_path: Path) -> None:
    environ = {"XDG_STATE_HOME": str(tmp_path)}
    for second in range(REPORTS_KEPT + 3):
        kept = keep_report(_fault(), environ, at=AT.replace(second=second))
        assert kept.stat().st_mode & 0o077 == 0
    assert len(list(kept.parent.iterdir())) == REPORTS_KEPT
    assert kept.exists()


def test_where_no_report_can_be_kept_the_sentence_says_so(tmp_path: Path) -> None:
    (tmp_path / "appreg").write_text("")
    told = str(fault_met(_fault(), {"XDG_STATE_HOME": str(tmp_path)}, doing="it ended", kept="All is safe."))
    assert told.startswith("Something went wrong inside appreg (KeyError in ")
    assert "No report of it could be kept: " in told
    assert SECRET not in told
