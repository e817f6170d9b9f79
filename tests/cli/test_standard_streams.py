"""Standard output and standard error that are closed, full or gone."""

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from appreg.cli.main import main
from tests.campaign.called_commands import call as call_into
from tests.tasks.worked_site import WorkedSite

JUDGE = ("judge", "--class", "2", "--visual", "ok", "--insulation", ">299", "--functional", "ok")


def run_in_shell(row: WorkedSite, redirection: str, *words: str) -> subprocess.CompletedProcess[str]:
    """Run the program in a process of its own, its streams redirected by a shell."""
    script = f'exec "$@" {redirection}'
    whole = ["sh", "-c", script, "sh", sys.executable, "-m", "appreg", *words]
    environ = {**os.environ, "APPREG_REGISTER": str(row.register.path)}
    return subprocess.run(whole, env=environ, capture_output=True, text=True, check=False, timeout=60)


def test_a_closed_output_is_told_and_never_written_into_a_file(row: WorkedSite) -> None:
    done = run_in_shell(row, ">&-", "show", "HR-001")
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (1, "", 1)
    assert "Standard output is closed" in done.stderr


def test_with_both_streams_closed_the_exit_code_still_tells(row: WorkedSite) -> None:
    done = run_in_shell(row, ">&- 2>&-", "due")
    assert (done.returncode, done.stdout, done.stderr) == (1, "", "")
    assert run_in_shell(row, "2>&-", "verify").returncode == 0


def test_an_output_without_room_is_told_in_a_sentence(row: WorkedSite, tmp_path: Path) -> None:
    full = tmp_path / "full.txt"
    limit = lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))  # noqa: E731
    with full.open("wb") as out:
        done = subprocess.run(
            [sys.executable, "-m", "appreg", *JUDGE], stdout=out, stderr=subprocess.PIPE, text=True, preexec_fn=limit, check=False
        )  # fmt: skip
    assert done.returncode == 1
    assert done.stderr.startswith("appreg: Standard output takes nothing (File too large)")
    assert done.stderr.count("\n") == 1
    assert row.site.prefix == "HR"


@pytest.mark.parametrize("words", [("--version",), ("--help",), JUDGE, (*JUDGE, "--json"), ("judge", "--no-such")])
@pytest.mark.parametrize(("out", "err"), [("full", "good"), ("closed", "good"), ("full", "full"), ("closed", "closed")])
def test_no_stream_ends_a_command_in_a_fault(words: tuple[str, ...], out: str, err: str) -> None:
    called = call_into(words, out=out, err=err)
    assert not called.raised
    assert called.code in {0, 1, 2}
    assert called.err.count(b"\n") <= 1 or "--help" in words


@pytest.mark.parametrize("buffering", [1, -1])
@pytest.mark.parametrize(("functional", "code"), [("bad", 1), ("ok", 0)])
def test_a_reader_that_has_gone_does_not_turn_a_failure_into_a_fine_code(
    monkeypatch: pytest.MonkeyPatch, buffering: int, functional: str, code: int
) -> None:
    read, written = os.pipe()
    os.close(read)
    with os.fdopen(written, "w", buffering) as gone:
        monkeypatch.setattr(sys, "stdout", gone)
        assert main([*JUDGE[:-1], functional]) == code


def test_half_a_character_is_refused_where_text_is_asked_for(row: WorkedSite) -> None:
    for words in (("show", "HR-\udcff"), ("find", "\udcff"), ("move", "HR-001", "issued", "--note", "\udcff")):
        called = call_into([*words, "--register", str(row.register.path)])
        assert (called.code, called.out) == (2, b"")
        assert "holds bytes that are no text" in called.err.decode()


def test_dates_and_numbers_beyond_all_use_are_refused_in_a_sentence(row: WorkedSite) -> None:
    for words in (
        ("plan", "--from", "9999-12-31"),
        ("plan", "--from", "0001-01-01"),
        ("plan", "--years", "999999999999"),
        ("plan", "--tolerance", "1e999"),
        ("plan", "--site=--"),
        ("due", "--on", "9999-12-31"),
        ("due", "--within", "1" + "0" * 30),
        ("move", "HR-001", "issued", "--on", "0001-01-01"),
        ("evidence", "--target", "1e-999"),
        ("due", "--on", "9" * 5000),
    ):
        called = call_into([*words, "--register", str(row.register.path)])
        assert (called.code, called.out) == (2, b""), words
        assert called.err.count(b"\n") == 1
        assert len(called.err) < 400
    assert call_into(["show", "x" * 253, "--register", str(row.register.path)]).code == 1
    assert call_into(["due", "--within", "999999999", "--register", str(row.register.path)]).code == 0
